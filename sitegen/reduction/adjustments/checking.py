"""Which wishes no longer apply to a score."""

from __future__ import annotations

from collections.abc import Callable

from sitegen.errors import ContentError
from sitegen.reduction.adjustments.addresses import find_note, find_place, parse_address
from sitegen.reduction.adjustments.notes import resolve
from sitegen.reduction.adjustments.stages import stretch_of
from sitegen.reduction.wishes import Reading, Wishes
from sitegen.score import Score


def unmatched(score: Score, wishes: Wishes) -> list[ContentError]:
    """An error for every wish whose address matches nothing in ``score``, or several things; all of them, in order."""
    found: list[ContentError] = []

    def attempt(step: Callable[[], object]) -> None:
        try:
            step()
        except ContentError as error:
            found.append(error)

    for reading in wishes.readings:
        attempt(lambda reading=reading: _find(score, reading, wishes.file))  # type: ignore[misc]
    for wish in wishes.notes:
        attempt(lambda wish=wish: resolve(score, wish, wishes.file))  # type: ignore[misc]
    spoken = [(wish.bars, wish.line) for wish in wishes.stages] + [(wish.bars, wish.line) for wish in wishes.changes]
    for bars, line in spoken:
        if bars:
            attempt(lambda bars=bars, line=line: stretch_of(score, bars, wishes.file, line))  # type: ignore[misc]
    return sorted(found, key=lambda error: error.line or 0)


def _find(score: Score, reading: Reading, file: str) -> None:
    address = parse_address(reading.at, file, reading.line)
    if reading.what == "function":
        find_note(score, address, file, reading.line)
    else:
        find_place(score, address, file, reading.line)
    if reading.until:
        find_place(score, parse_address(reading.until, file, reading.line), file, reading.line)
