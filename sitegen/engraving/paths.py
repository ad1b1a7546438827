"""Outlines in fewer characters, to the tenth of a unit: nothing that an eye could see is lost."""

from __future__ import annotations

import re

_FINE = re.compile(r"(\d+)\.(\d)\d*")
_LEVEL = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L(-?[\d.]+) \2(?= ?$)")
_UPRIGHT = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L\1 (-?[\d.]+)(?= ?$)")
_ROUND = re.compile(r"(?<=\d)\.0(?!\d)")
_SPACE = re.compile(r" +(?=[-A-Za-z])|(?<=[A-Za-z]) +|^ +| +$")


def shorter(outline: str) -> str:
    """The data of a path, or the points of a polygon, written shorter.

    A straight path stays ``M`` and two numbers, then ``H`` or ``V`` with one where it is level or upright.
    """
    outline = _ROUND.sub("", _FINE.sub(r"\1.\2", outline))
    outline = _UPRIGHT.sub(r"M\1 \2V\3", _LEVEL.sub(r"M\1 \2H\3", outline))
    return _SPACE.sub("", outline)
