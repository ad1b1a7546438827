"""Fingering: of a staff's figures of one kind one text, each figure in a place of its own (SVG 2, "Text")."""

from __future__ import annotations

import re
from collections.abc import Sequence

#: Where it stands, how it is set, and the figure.
Finger = tuple[int, int, str, str]

_FIGURE = re.compile(r'<text x="(-?\d+)" y="(-?\d+)"([^>]*)>(\d)</text>')
_HALF = 110  # a figure's middle over its base line, in tenths of a unit


def finger_of(text: str) -> Finger | None:
    """A text that is a single figure; None where it is anything else."""
    found = _FIGURE.fullmatch(text)
    return (int(found[1]), int(found[2]), found[3], found[4]) if found else None


def fingering(fingers: Sequence[Finger], middles: Sequence[float]) -> list[str]:
    """A text for each staff and each way of setting; ``middles`` are the heights of the middle lines, from the top.

    A figure belongs to the staff that is nearest: what hides with a hand goes by that too.
    """
    rows: dict[tuple[int, str], list[Finger]] = {}
    for finger in fingers:
        _, y, style, _ = finger
        nearest = min(range(len(middles)), key=lambda place: abs(middles[place] - y + _HALF), default=0)
        rows.setdefault((nearest, style), []).append(finger)
    return [
        f'<text x="{" ".join(str(x) for x, _, _, _ in row)}" y="{" ".join(str(y) for _, y, _, _ in row)}"{style}>'
        f"{''.join(figure for _, _, _, figure in row)}</text>"
        for (_, style), row in sorted(rows.items())
    ]
