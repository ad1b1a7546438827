"""Finding a stage by what a teacher calls it.

A stage has a lasting name, made from its technique and its stretch of bars (``outer-voices-bars-1-8``). It is
understood by that, by its title (in English and in the library's language), and by its technique or a title that it had
before; in any case, with spaces or hyphens. What comes first in this order and fits one stage is meant.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from sitegen.errors import ContentError

_LIKE = 0.7  # how much of a name must be right for it to be meant


@dataclass(frozen=True, slots=True)
class StageName:
    """What a stage is called: its lasting ``name``, its ``titles``, the first of which is shown, and what it is
    ``also`` understood by."""

    name: str
    titles: tuple[str, ...]
    also: tuple[str, ...] = ()


def find_stage(text: str, known: Sequence[StageName]) -> int:
    """The place among ``known`` of the stage that ``text`` means. Raises ``ContentError`` where it means none, with the
    nearest and all there are, or several, with their lasting names."""
    said = plain(text)
    for names in ([(one.name,) for one in known], [one.titles for one in known], [one.also for one in known]):
        found = [place for place, these in enumerate(names) if said in map(plain, these)]
        if len(found) == 1:
            return found[0]
        if found:
            which = " or ".join(known[place].name for place in found)
            raise ContentError(f"there are {len(found)} stages '{text}'", f"write {which}")
    shown = [one.titles[0] for one in known]
    listed = [title if shown.count(title) == 1 else one.name for title, one in zip(shown, known, strict=True)]
    called = {
        plain(name): which
        for one, which in zip(known, listed, strict=True)
        for name in (*one.also, *one.titles, one.name)
    }
    near = dict.fromkeys(called[name] for name in get_close_matches(said, called, cutoff=_LIKE))
    remedy = f"perhaps {' or '.join(near)}; " if near else ""
    raise ContentError(f"the ladder has no stage '{text}'", f"{remedy}the stages are: {', '.join(listed)}")


def place_of(text: str, known: Sequence[StageName]) -> int | None:
    """As ``find_stage``; None where ``text`` means no stage, or several."""
    try:
        return find_stage(text, known)
    except ContentError:
        return None


def plain(name: str) -> str:
    """A name without what makes no difference: case, hyphens, stops."""
    return " ".join(re.split(r"[\W_]+", unicodedata.normalize("NFKC", name).casefold())).strip()
