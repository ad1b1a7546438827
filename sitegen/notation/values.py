"""Which lengths a single note or rest can have, and where longer ones are divided.

All places are counted from the bar line as the metre counts it. What is asked for is in ticks; the rule itself counts
in fractions of a quarter note.

The rule of division is the engraver's: a note may hide the boundary of a metrical unit only if it begins half such
a unit away from it or at a stronger place (Gould, *Behind Bars*, 2011, "Grouping note-values"). In compound metres a
note hides a beat only if it lasts whole beats.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from sitegen.score import Metre

_DOTS = {Fraction(1): 0, Fraction(3, 2): 1, Fraction(7, 4): 2}
TYPES = {
    Fraction(8): "breve",
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
    Fraction(1, 64): "256th",
    Fraction(1, 128): "512th",
    Fraction(1, 256): "1024th",
}
#: How many beams a value has.
BEAMED = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6, "512th": 7, "1024th": 8}


@dataclass(frozen=True, slots=True)
class Value:
    """A written note value: a type, dots, and the tuplet (``actual`` in the time of ``normal``) or 1 and 1; a
    ``splinter`` does not last as long as it says."""

    type: str
    dots: int
    actual: int = 1
    normal: int = 1
    splinter: bool = False


#: What has no value: too short for any, left behind by roundings in the source. Time must be exact all the same.
SPLINTER = Value("1024th", 0, splinter=True)
#: A grace alone, and one of several.
GRACE = Value("eighth", 0)
GRACES = Value("16th", 0)


@lru_cache(maxsize=1 << 15)
def pieces(start: int, end: int, metre: Metre, quarter: int, rest: bool) -> tuple[tuple[int, int, Value], ...]:
    """``divide`` in ticks of which ``quarter`` make a quarter note: place, length and value of each piece. Most bars of
    a piece have the rhythm of others."""
    return tuple(
        (round(place * quarter), round(length * quarter), value_of(length) or SPLINTER)
        for place, length in divide(Fraction(start, quarter), Fraction(end, quarter), metre, rest, Fraction(1, quarter))
    )


@cache
def value_of(length: Fraction) -> Value | None:
    """The single note value that lasts ``length`` quarters, or None where there is none."""
    odd = length.denominator
    while odd % 2 == 0:
        odd //= 2
    normal = 1 << (odd.bit_length() - 1)
    plain = length * odd / normal
    for factor, dots in _DOTS.items():
        if plain / factor in TYPES:
            return Value(TYPES[plain / factor], dots, odd, normal)
    return None


@cache
def units(metre: Metre, length: Fraction) -> tuple[Fraction, ...]:
    """The metrical units of a bar, longest first: the bar, its half where it has one, the beat, its parts."""
    found = [max(metre.quarters, length)]
    beat = metre.beat_quarters
    beats = metre.quarters / beat
    if beats % 2 == 0 and beats > 2:
        found.append(metre.quarters / 2)
    found.append(beat)
    unit = Fraction(4, metre.beat_type)
    if unit < beat:
        found.append(unit)
    while found[-1] > Fraction(1, 32):
        found.append(found[-1] / 2)
    return tuple(dict.fromkeys(found))


def divide(start: Fraction, end: Fraction, metre: Metre, rest: bool, tick: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Cut the stretch from ``start`` to ``end`` into pieces that are single values; (place, length) each.

    Only a piece shorter than any value (under 1/256 of a quarter) has no value of its own. ``tick`` is the length of
    which all lengths are multiples: a unit that is none divides nothing.

    Rests are divided at every beat boundary that they do not start and end with; notes may be syncopated.
    """
    found: list[tuple[Fraction, Fraction]] = []
    levels = tuple(unit for unit in units(metre, end) if (unit / tick).denominator == 1)
    _divide(start, end, levels, metre.beat_quarters, rest, found)
    return found


def _divide(
    start: Fraction,
    end: Fraction,
    levels: tuple[Fraction, ...],
    beat: Fraction,
    rest: bool,
    found: list[tuple[Fraction, Fraction]],
) -> None:
    length = end - start
    if length <= 0:
        return
    value = value_of(length)
    if value is not None and _reads_well(start, end, value, levels, beat, rest):
        found.append((start, length))
        return
    # inside a tuplet only beats divide: cutting it at finer units would leave splinters
    tuplet = _is_tuplet(start) or _is_tuplet(end)
    cut = _boundary(start, end, tuple(u for u in levels if u >= beat) if tuplet else levels)
    if cut is None and value is not None:
        found.append((start, length))
        return
    if cut is None:
        cut = _greedy(start, length)
    if cut is None:
        # a splinter that roundings in the source left behind: no value is so short, but time must be exact
        found.append((start, length))
        return
    _divide(start, cut, levels, beat, rest, found)
    _divide(cut, end, levels, beat, rest, found)


def _is_tuplet(place: Fraction) -> bool:
    return place.denominator & (place.denominator - 1) != 0


def _crossed(start: Fraction, end: Fraction, unit: Fraction) -> Fraction | None:
    """The first multiple of ``unit`` strictly inside the stretch."""
    first = (start // unit + 1) * unit
    return first if first < end else None


def _reads_well(
    start: Fraction, end: Fraction, value: Value, levels: tuple[Fraction, ...], beat: Fraction, rest: bool
) -> bool:
    if value.actual > 1:
        span = beat if end - start < beat * 2 / 3 else 2 * beat
        return _crossed(start, end, span) is None
    if _is_tuplet(start):
        return False
    for unit in levels:
        if _crossed(start, end, unit) is None:
            continue
        if rest and 3 * unit == beat and start % beat:
            # the second and third part of a dotted beat are two rests (Gould, *Behind Bars*, 2011, "Rests")
            return False
        if rest:
            return start % unit == 0 and (value.dots == 0 or beat.numerator % 3 == 0 or unit < beat)
        if unit == beat and beat.numerator % 3 == 0:
            return start % beat == 0 and end % beat == 0
        return start % (unit / 2) == 0
    return True


def _boundary(start: Fraction, end: Fraction, levels: tuple[Fraction, ...]) -> Fraction | None:
    """Where to cut: at the strongest boundary inside; of several, the last, so that the longest piece comes first."""
    for unit in levels:
        if _crossed(start, end, unit) is not None:
            cut = (-(-end // unit) - 1) * unit
            first = _crossed(start, end, unit)
            return cut if start % unit == 0 else first
    return None


def _greedy(start: Fraction, length: Fraction) -> Fraction | None:
    """The end of the longest single value that fits, for lengths no boundary divides."""
    odd = length.denominator
    while odd % 2 == 0:
        odd //= 2
    plain = length * odd / (1 << (odd.bit_length() - 1))
    longest = max((v for v in TYPES if v < plain), default=None)
    if longest is None:
        return None
    return start + longest * (1 << (odd.bit_length() - 1)) / odd
