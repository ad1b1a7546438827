"""Straight strokes and beams as paths in few characters: counted from where the last one ended where that is shorter.

A stroke is ``(x, y, to_x, to_y)`` in whole tenths of a unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sitegen.engraving.outlines import joined

Stroke = tuple[int, int, int, int]
#: The lines of a staff: how many, and how far apart.
STAFF_LINES, BETWEEN_LINES = 5, 180
_THICK = 13


def stroked(strokes: Iterable[Stroke]) -> str:
    """The data of a path of ``strokes``."""
    told: list[str] = []
    at_x = at_y = 0
    for x, y, to_x, to_y in strokes:
        told.append(_moved(x, y, at_x, at_y) if told else f"M{joined([x, y])}")
        if x == to_x:
            told.append(_shorter(f"v{to_y - y}", f"V{to_y}"))
        elif y == to_y:
            told.append(_shorter(f"h{to_x - x}", f"H{to_x}"))
        else:
            told.append(_shorter(f"l{joined([to_x - x, to_y - y])}", f"L{joined([to_x, to_y])}"))
        at_x, at_y = to_x, to_y
    return "".join(told)


def filled(beams: Iterable[tuple[int, int, int, int, int]]) -> str:
    """The data of a path of ``beams``: where each begins, how far it goes, and how thick it is. All go round in one
    direction: where two overlap, one that goes the other way would leave a hole."""
    told: list[str] = []
    at_x = at_y = 0
    for x, y, across, along, thick in beams:
        side = f"l{joined([across, along])}" if along else f"h{across}"
        told.append(_moved(x, y, at_x, at_y) if told else f"M{joined([x, y])}")
        told.append(f"v{thick}{side}v-{thick}z")
        at_x, at_y = x, y
    return "".join(told)


def joined_uprights(strokes: Sequence[Stroke]) -> list[Stroke]:
    """``strokes`` with those that go on from one another, upright, as one: the parts of a bar line."""
    found: list[Stroke] = []
    for stroke in sorted(strokes):
        x, y, to_x, to_y = stroke
        if found and x == to_x == found[-1][0] == found[-1][2] and found[-1][1] <= y <= found[-1][3] and to_y >= y:
            found[-1] = (x, found[-1][1], x, max(to_y, found[-1][3]))
        else:
            found.append(stroke)
    return found


def is_staff(lines: Sequence[Stroke]) -> bool:
    """Whether these are the lines of a staff as it mostly is, from the top."""
    x, y, to_x, _ = lines[0]
    return len(lines) == STAFF_LINES and all(
        line == (x, y + place * BETWEEN_LINES, to_x, y + place * BETWEEN_LINES) for place, line in enumerate(lines)
    )


def staff_outline() -> str:
    """The lines of a staff that is one tenth of a unit wide, as an outline to be filled: it is stretched to the width
    of each bar, and its lines stay as thick."""
    tops = (f"{place * BETWEEN_LINES - _THICK / 2:g}" for place in range(STAFF_LINES))
    return "".join(f"M0 {top}h1v{_THICK}h-1z" for top in tops)


def _moved(x: int, y: int, from_x: int, from_y: int) -> str:
    return _shorter(f"m{joined([x - from_x, y - from_y])}", f"M{joined([x, y])}")


def _shorter(one: str, other: str) -> str:
    return one if len(one) <= len(other) else other
