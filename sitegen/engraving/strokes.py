"""Straight strokes and beams as paths in few characters: each counted from where the last one ended.

A stroke is ``(x, y, to_x, to_y)`` in whole tenths of a unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

Stroke = tuple[int, int, int, int]
#: Where a beam begins, how far it goes, and how thick it is.
Beam = tuple[int, int, int, int, int]
#: The lines of a staff: how many, and how far apart.
STAFF_LINES, BETWEEN_LINES = 5, 180
STAFF_HEIGHT = (STAFF_LINES - 1) * BETWEEN_LINES
_THICK = 13


def stroked(strokes: Sequence[Stroke]) -> str:
    """The data of a path of ``strokes``, of which there is one at least."""
    told: list[str] = []
    at_x = at_y = 0
    for x, y, to_x, to_y in strokes:
        told.append(f"m{x - at_x} {y - at_y}")
        told.append(f"v{to_y - y}" if x == to_x else f"h{to_x - x}" if y == to_y else f"l{to_x - x} {to_y - y}")
        at_x, at_y = to_x, to_y
    return _begun(told)


def filled(beams: Sequence[Beam]) -> str:
    """The data of a path of ``beams``, of which there is one at least. All go round in one direction: where two
    overlap, one that goes the other way would leave a hole."""
    told: list[str] = []
    at_x = at_y = 0
    for x, y, across, along, thick in beams:
        side = f"l{across} {along}" if along else f"h{across}"
        told.append(f"m{x - at_x} {y - at_y}v{thick}{side}v-{thick}z")
        at_x, at_y = x, y
    return _begun(told)


def _begun(told: list[str]) -> str:
    """Steps as the data of a path; the first is from nowhere. A minus sign parts numbers as well as a space does."""
    return f"M{''.join(told)[1:]}".replace(" -", "-")


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


def staff_lines(x: int, y: int, to_x: int) -> str:
    """The lines of a staff as verovio mostly draws them, from the top."""
    tops = range(y, y + STAFF_HEIGHT + 1, BETWEEN_LINES)
    return "".join(f'<path d="M{x} {top} L{to_x} {top}" stroke-width="{_THICK}"/>' for top in tops)


@cache
def staff_outline() -> str:
    """The lines of a staff that is one tenth of a unit wide, as an outline to be filled: it is stretched to the width
    of each bar, and its lines stay as thick."""
    tops = (f"{place * BETWEEN_LINES - _THICK / 2:g}" for place in range(STAFF_LINES))
    return "".join(f"M0 {top}h1v{_THICK}h-1z" for top in tops)
