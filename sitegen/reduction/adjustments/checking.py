"""Which wishes no longer apply to a score."""

from __future__ import annotations

from sitegen.errors import SitegenError
from sitegen.reduction.adjustments.entries import Faults
from sitegen.reduction.adjustments.notes import resolve
from sitegen.reduction.adjustments.readings import readings_of
from sitegen.reduction.adjustments.stages import stretch_of
from sitegen.reduction.wishes import Wishes
from sitegen.score import Score


def unmatched(score: Score, wishes: Wishes) -> list[SitegenError]:
    """An error for every wish whose place matches nothing in ``score``, or several things; all of them, in order."""
    faults = Faults()
    faults.attempt(lambda: readings_of(score, wishes))
    for wish in wishes.notes:
        faults.attempt(lambda wish=wish: resolve(score, wish, wishes.file))  # type: ignore[misc]
    spoken = [(wish.bars, wish.line) for wish in wishes.stages] + [(wish.bars, wish.line) for wish in wishes.changes]
    for bars, line in spoken:
        if bars:
            faults.attempt(lambda bars=bars, line=line: stretch_of(score, bars, wishes.file, line))  # type: ignore[misc]
    return sorted(faults.found, key=lambda error: error.line or 0)
