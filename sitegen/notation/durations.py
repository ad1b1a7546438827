"""A length in quarters as a written duration."""

from __future__ import annotations

from fractions import Fraction

from music21 import duration

from sitegen.notation.values import value_of


def duration_of(length: Fraction) -> duration.Duration:
    """The note value that lasts ``length`` quarters; where there is none, a splinter that keeps the bar exact."""
    value = value_of(length)
    if value is None:
        splinter = duration.Duration(type="1024th")
        splinter.linked = False
        splinter.quarterLength = length
        return splinter
    found = duration.Duration(type=value.type, dots=value.dots)
    if value.actual > 1:
        found.appendTuplet(duration.Tuplet(value.actual, value.normal))
    return found
