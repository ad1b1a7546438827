"""How much music a file may hold, told before any of it is read.

The longest movements for the piano have some 20,000 notes (Liszt's sonata, played without a break, 17,000); what is
longer is several movements, or no music. A file is refused by what its text alone tells, for reading it would take the
memory that the limit is to spare.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from sitegen.apart import Limits
from sitegen.errors import ScoreError

MOST_NOTES = 30_000
MOST_BARS = 10_000
_MOST_EVENTS = 5 * MOST_NOTES  # rests too
_MOST_TAGS = 4_000_000
_ABC_EVENT = re.compile(r"[A-Ga-gzxZX]")
_ABC_NO_MUSIC = re.compile(r"^(?:%|[A-Za-z+]:(?![|:])).*$", re.MULTILINE)


def refuse_too_long(notation: str, text: str, path: Path) -> None:
    """Raise ``ScoreError`` for a text that holds more than a piece does; ``xml`` is MusicXML or MEI."""
    if notation == "abc":
        events = len(_ABC_EVENT.findall(_ABC_NO_MUSIC.sub("", text)))
    elif notation == "humdrum":
        events = text.count("\n") + text.count("\t") // 4
    else:
        if text.count("<") > _MOST_TAGS:
            raise too_long(path)
        events = text.count("<note>") + text.count("<note ") + text.count("<rest ")
    if events > _MOST_EVENTS:
        raise too_long(path)


def refuse_beyond_memory(counted: Sequence[int], limits: Limits, path: Path | str) -> None:
    """Raise ``ScoreError`` for a score of more notes, ``counted`` bar by bar, than there is memory for."""
    notes = sum(counted)
    if notes > limits.notes:
        raise ScoreError(
            f"has {notes} notes; {limits.memory_said} of memory is enough for {limits.notes}",
            "Split the work into movements, or allow more with --memory.",
            path,
        )


def too_long(path: Path | str) -> ScoreError:
    """The fault of a file that holds more than a piece does."""
    return ScoreError(f"holds more than {MOST_NOTES} notes or {MOST_BARS} bars", "Split the work into movements.", path)
