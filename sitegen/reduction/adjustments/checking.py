"""Which wishes no longer apply to a score."""

from __future__ import annotations

from collections.abc import Callable

from sitegen.errors import ContentError, located
from sitegen.places.finding import find_note, find_spot
from sitegen.places.parsing import parse_place
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
    with located(file, reading.line):
        place = parse_place(reading.at)
        if reading.what == "function":
            find_note(score, place)
        else:
            find_spot(score, place)
        if reading.until:
            find_spot(score, parse_place(reading.until))
