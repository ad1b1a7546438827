"""How long a score is, known before it is read: what is too long for the memory is refused by a line."""

from __future__ import annotations

import re
from pathlib import Path

from sitegen.apart import Limits
from sitegen.errors import ScoreError
from sitegen.score.sources import Source

_NOTE = {
    "musicxml": re.compile(r"<note[\s>]"),
    "mei": re.compile(r"<(?:\w+:)?(?:note|rest)[\s>/]"),
    "humdrum": re.compile(r"(?m)(?:^|[\t ])[^\t\n !*=.][^\t\n ]*"),
}


def count_notes(source: Source) -> int:
    """The notes and rests of a source, as many as are written."""
    return sum(1 for _ in _NOTE[source.kind].finditer(source.text))


def refuse_too_long(notes: int, limits: Limits, file: Path | str) -> None:
    """Raise ``ScoreError`` for a score of more notes and rests than there is memory for."""
    if notes > limits.notes:
        raise ScoreError(
            f"has {notes} notes and rests; {limits.memory_said} of memory is enough for {limits.notes}",
            "Split the work into movements, or allow more with --memory.",
            file,
        )
