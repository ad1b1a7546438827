"""Outlines in fewer characters, to the tenth of a unit: nothing that an eye could see is lost."""

from __future__ import annotations

import re

from sitegen.engraving.outlines import joined

_FINE = re.compile(r"(\d+)\.(\d)\d*")
_LEVEL = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L(-?[\d.]+) \2(?= ?$)")
_UPRIGHT = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L\1 (-?[\d.]+)(?= ?$)")
_ROUND = re.compile(r"(?<=\d)\.0(?!\d)")
_SPACE = re.compile(r" +(?=[-A-Za-z])|(?<=[A-Za-z]) +|^ +| +$")


_CURVE = re.compile(r"M(-?\d+),(-?\d+) ?C([-\d, C]+)z?")
_NUMBER = re.compile(r"-?\d+")


def relative(curve: str) -> str:
    """A slur or tie in whole numbers, ``M1,2 C3,4 5,6 7,8 C...``, counted from point to point and closed; anything else
    as ``shorter`` writes it."""
    found = _CURVE.fullmatch(curve)
    if found is None:
        return shorter(curve)
    x, y = start = [int(found[1]), int(found[2])]
    steps: list[int] = []
    numbers = map(int, _NUMBER.findall(found[3]))
    for x1, y1, x2, y2, to_x, to_y in zip(*[numbers] * 6, strict=True):
        steps += x1 - x, y1 - y, x2 - x, y2 - y, to_x - x, to_y - y
        x, y = to_x, to_y
    return f"M{joined(start)}c{joined(steps)}z"


def shorter(outline: str) -> str:
    """The data of a path, or the points of a polygon, written shorter.

    A straight path stays ``M`` and two numbers, then ``H`` or ``V`` with one where it is level or upright.
    """
    outline = _ROUND.sub("", _FINE.sub(r"\1.\2", outline))
    outline = _UPRIGHT.sub(r"M\1 \2V\3", _LEVEL.sub(r"M\1 \2H\3", outline))
    return _SPACE.sub("", outline)


def reach(turns: str) -> tuple[int, int]:
    """How high and how low a curve of several turns goes (``M1,2 C3,4 5,6 7,8 C...``): by its ends and the middle of
    each turn, where a slur is highest or nearly so."""
    ys = [int(y) for y in _NUMBER.findall(turns)[1::2]]
    at = ys[::3] + [(ys[k] + 3 * ys[k + 1] + 3 * ys[k + 2] + ys[k + 3]) // 8 for k in range(0, len(ys) - 3, 3)]
    return min(at), max(at)
