"""Where a long note ends so that it is written with few signs."""

from __future__ import annotations

from fractions import Fraction

from sitegen.reduction.material import Material
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks

VALUES = frozenset(
    value * dots for value in (Fraction(2) ** power for power in range(-3, 3)) for dots in (1, Fraction(3, 2))
)
"""The lengths in quarters of the notes that take one sign: a value, or a value with a dot."""
SIMPLE = frozenset(Fraction(2) ** power for power in range(-3, 3))
"""The lengths in quarters of beats without a dot. Where the beat is dotted, what is longer lasts for whole beats."""


def whole_end(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on then lasts for whole beats; within a beat, where it
    would need the bracket of a tuplet, the half or, of a dotted beat, the third before it."""
    start = beat_start(material.score, end)
    if onset < start < end:
        return start
    length = material.score.quarters(end - onset).denominator
    if length & (length - 1):
        beat = beat_ticks(material.score, onset)
        parts = 2 if material.score.quarters(beat) in SIMPLE else 3
        cut = end - (end - start) % (beat // parts)
        return cut if cut > onset else end
    return end


def to_the_beat(material: Material, staff: int, onset: int, end: int, following: int | None) -> Note | None:
    """The note that covers the rest of a beat, if one begins with a note that ends at ``end``, before it is over and
    before ``following``: what the staff strikes next in the bar, or at once in the next bar where the beat before
    ended with the same rest, so that alike beats are written alike. A short note is then held for the whole beat."""
    beat = beat_ticks(material.score, onset)
    target, bar = onset + beat, material.score.bar_at(onset)
    if beat_start(material.score, onset) != onset or end >= target or (following is not None and following < target):
        return None
    until = bar.end
    if target == bar.end and onset - beat >= bar.onset and _rests(material, staff, end - beat, onset):
        until += 1
    later = material.struck_between(staff, onset + 1, until)
    return next((note for note in later if note.end >= target), None)


def _rests(material: Material, staff: int, start: int, end: int) -> bool:
    """Whether a note of the staff, struck on a beat, ends at ``start``, and nothing of it sounds from there on."""
    onset = beat_start(material.score, start - 1)
    before = material.struck_between(staff, onset, end)
    return bool(before) and before[0].onset == onset and max(note.end for note in before) == start


def one_value(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on would else need a second value or a second dot in
    its last bar, or hang over into it for less than a beat; what is tied into that bar for longer stays so."""
    last = max(onset, material.score.bar_at(end - 1).onset)
    beat = beat_ticks(material.score, last)
    if onset < last and end - last < beat:
        return last
    dotted = material.score.quarters(beat) not in SIMPLE
    if material.score.quarters(end - last) in VALUES and not (dotted and end - last > beat and (end - last) % beat):
        return end
    start = whole_end(material, onset, end)
    return start if start > last else end


def let_go(material: Material, onset: int, end: int, following: int | None) -> int:
    """``one_value``; where the hand rests there (``following``, what it strikes next, comes later), the beat before it,
    so that no dotted value stands before a rest of less than a beat."""
    end = one_value(material, onset, end)
    whole = end if end == following else whole_end(material, onset, end)
    return whole if whole > max(onset, material.score.bar_at(end - 1).onset) else end
