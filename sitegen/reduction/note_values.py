"""Where a long note ends so that it is written with few signs."""

from __future__ import annotations

from fractions import Fraction

from sitegen.analysis.metre import beat_start
from sitegen.reduction.material import Material

VALUES = frozenset(
    value * dots for value in (Fraction(2) ** power for power in range(-3, 3)) for dots in (1, Fraction(3, 2))
)
"""The lengths in quarters of the notes that take one sign: a value, or a value with a dot."""


def whole_end(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on then lasts for whole beats."""
    start = beat_start(material.score, end)
    return start if onset < start < end else end


def one_value(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on would else need a second value or a second dot in
    its last bar; what is tied into that bar stays so."""
    last = max(onset, material.score.bar_at(end - 1).onset)
    if material.score.quarters(end - last) in VALUES:
        return end
    start = whole_end(material, onset, end)
    return start if start > last else end
