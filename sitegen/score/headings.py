"""Headings that a file sets among the notes, as words over the first bars: they name the work and say nothing to the
player, so they are no signs.

A direction is set small and in small letters; what names a work has its number, its year, its key, the name of who
made it, or a title's size and capitals.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from sitegen.score.nouns import Bar
from sitegen.score.sign_nouns import Sign

#: How many bars a heading may stand over, from the first.
FIRST_BARS = 4
#: Points from which words are a title: directions are set in 8 to 14.
TITLE_SIZE = 15.0

_NUMBERED = re.compile(r"\b(op|nr|no|bwv|kv?|hob|hoboken|d|s)\.? ?([ivx]+[.:] ?)?\d|\b1[5-9]\d\d\b", re.I)
_KEY = re.compile(r"\b(in|en) [A-H](is|es|s)?([ -](flat|sharp|dur|moll))?(?= |$|,)|\b[A-Ha-h](is|es|s)?-(dur|moll)\b")
#: Initials and a name; not those that tell the hand, a repeat or a metronome.
_COMPOSER = re.compile(r"(?!(?:[MRL]\. ?[DSGHM]|D\. ?[CS])\.)(?:[A-Z]\. ?){1,3}[A-Z][a-z]{2,}")
_CAPITALS = re.compile(r"[^a-z]*[A-Z]{5,}[^a-z]*")


def without_headings(signs: Iterable[Sign], bars: Iterable[Bar], title: str, composer: str) -> tuple[Sign, ...]:
    """The signs but for words that are headings; ``title`` and ``composer`` as the file gives them."""
    end = max((bar.end for bar in bars if bar.index < FIRST_BARS), default=0)
    names = [name for name in (title.lower(), composer.lower()) if name]
    return tuple(s for s in signs if s.kind != "words" or not _is_heading(s, s.onset < end, names))


def _is_heading(sign: Sign, at_first: bool, names: Iterable[str]) -> bool:
    if _NUMBERED.search(sign.text):
        return True
    if not at_first or sign.placement == "below":
        return False
    said = re.compile(rf"\b{re.escape(sign.text.lower())}(?!\w)")
    of_work = len(sign.text) > 2 and any(said.search(name) for name in names)
    capitals = sign.staff == 1 and _CAPITALS.fullmatch(sign.text) is not None
    return of_work or capitals or _KEY.search(sign.text) is not None or _COMPOSER.match(sign.text) is not None
