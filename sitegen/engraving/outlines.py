"""The outlines of glyphs in the size in which they are drawn, in whole tenths of a unit.

A font's outline is given in thousandths of an em, upwards, and drawn through a transform; here the transform is in the
numbers, so that they are smaller and whole. A tenth of a unit is a hundredth of a millimetre on paper: an eighth of a
dot at 300 to the inch.
"""

from __future__ import annotations

import re
from functools import cache

_COMMAND = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")
#: Which numbers of a command go up (1) and which across (0); all are counted from where the pen is.
_ALONG = {"l": (0, 1), "h": (0,), "v": (1,), "c": (0, 1) * 3, "s": (0, 1) * 2, "q": (0, 1) * 2, "t": (0, 1)}


@cache
def drawn_outline(outline: str, across: str, along: str) -> str:
    """``outline`` as ``scale(across, along)`` shows it upside down, which is how fonts count. Points are rounded where
    they lie, so that no error grows. Raises ``ValueError`` for a command that outlines of glyphs do not have."""
    scale = float(across), -float(along)
    pen, begun = [0.0, 0.0], [0.0, 0.0]
    at, begun_at = [0, 0], [0, 0]
    written: list[str] = []
    before = ""
    for letter, told in _COMMAND.findall(outline):
        numbers = [float(number) for number in _NUMBER.findall(told)]
        if letter in "zZ":
            pen, at = begun[:], begun_at[:]
            written.append("z")
            before = "z"
            continue
        if letter == "M":
            pen, begun = numbers[:2], numbers[:2]
            at = [round(value * by) for value, by in zip(pen, scale, strict=True)]
            begun_at = at[:]
            written.append(f"M{joined(at)}")
            before = "M"
            if len(numbers) == 2:
                continue
            raise ValueError(f"an outline whose M goes on: {outline[:40]}")
        axes = _ALONG.get(letter)
        if axes is None:
            raise ValueError(f"an outline with '{letter}': {outline[:40]}")
        steps: list[int] = []
        for place in range(0, len(numbers), len(axes)):
            points = [
                (axis, pen[axis] + number)
                for axis, number in zip(axes, numbers[place : place + len(axes)], strict=True)
            ]
            rounded = [(axis, round(value * scale[axis])) for axis, value in points]
            steps += [value - at[axis] for axis, value in rounded]
            for (axis, value), (_, there) in zip(points, rounded, strict=True):
                pen[axis], at[axis] = value, there
        again = letter == before
        written.append(("" if steps[0] < 0 else " ") + joined(steps) if again else letter + joined(steps))
        before = letter
    return "".join(written)


def joined(numbers: list[int]) -> str:
    """Numbers one after the other; a minus sign parts them as well as a space does."""
    return " ".join(map(str, numbers)).replace(" -", "-")
