"""How strong a place in the bar is, as a level of the metrical grid.

The grid is that of Lerdahl & Jackendoff, A Generative Theory of Tonal Music (1983), ch. 4: every place that is a beat
at a level is one at all smaller levels. Levels count 0 (off every beat), 1 and 2 (quarters and halves of a beat, or its
thirds in compound time), 3 (a felt beat), 4 (half a bar), 5 (a bar line).
"""

from __future__ import annotations

from functools import cache

from sitegen.score import Metre, Score

OFFBEAT, QUARTER_BEAT, HALF_BEAT, BEAT, HALF_BAR, BAR = range(6)


def metrical_level(score: Score, tick: int) -> int:
    """The level of ``tick``, 0 to 5. An upbeat counts from the bar line that it leaves out."""
    bar = score.bar_at(tick)
    place = bar.lead + tick - bar.onset
    if place == 0:
        return BAR
    beat, full = _ticks_of(bar.metre.beats, bar.metre.beat_type, score.ticks_per_quarter)
    if (full // beat) % 2 == 0 and 2 * place % full == 0:
        return HALF_BAR
    if place % beat == 0:
        return BEAT
    compound = beat > full // bar.metre.beats
    if 2 * place % beat == 0 and not compound:
        return HALF_BEAT
    if compound and 3 * place % beat == 0:
        return HALF_BEAT
    return QUARTER_BEAT if 4 * place % beat == 0 or 6 * place % beat == 0 else OFFBEAT


def beat_ticks(score: Score, tick: int) -> int:
    """Length of the felt beat at ``tick``, in ticks."""
    metre = score.bar_at(tick).metre
    return _ticks_of(metre.beats, metre.beat_type, score.ticks_per_quarter)[0]


def bar_ticks(score: Score, tick: int) -> int:
    """Length of a full bar of the metre at ``tick``, in ticks; an upbeat is shorter."""
    metre = score.bar_at(tick).metre
    return _ticks_of(metre.beats, metre.beat_type, score.ticks_per_quarter)[1]


def accent(score: Score, tick: int) -> int:
    """How light the place at ``tick`` is, told apart down to 64ths: 0 for the bar line, 1 for every second beat where
    there are four or more, 2 for a beat, 3 for its half or third, 4 to 7 for the halves below, 8 for all else."""
    bar = score.bar_at(tick)
    place = bar.lead + tick - bar.onset
    if place == 0:
        return 0
    units = _units(bar.metre.beats, bar.metre.beat_type, score.ticks_per_quarter)
    return next((level for level, ticks, parts in units if place * parts % ticks == 0), 8)


@cache
def _ticks_of(beats: int, beat_type: int, ticks_per_quarter: int) -> tuple[int, int]:
    """Length of the felt beat and of a full bar, in ticks. A score has few metres and asks for them at every note."""
    metre = Metre(beats, beat_type)
    return round(metre.beat_quarters * ticks_per_quarter), round(metre.quarters * ticks_per_quarter)


@cache
def _units(beats: int, beat_type: int, ticks_per_quarter: int) -> tuple[tuple[int, int, int], ...]:
    """The weights of a metre from 1 on, each with the unit on whose multiples it lies, in ticks, as a fraction."""
    metre = Metre(beats, beat_type)
    beat = metre.beat_quarters * ticks_per_quarter
    count = metre.quarters / metre.beat_quarters
    first = [(1, 2 * beat)] if count % 2 == 0 and count > 2 else []
    parts = 3 if beats % 3 == 0 and beats > 3 else 2
    below = [(3 + halved, beat / parts / 2**halved) for halved in range(5)]
    return tuple((level, unit.numerator, unit.denominator) for level, unit in (*first, (2, beat), *below))


def beat_start(score: Score, tick: int) -> int:
    """The tick at which the felt beat that holds ``tick`` begins. That of an upbeat may lie before the music."""
    return tick - score.place_in_metre(tick) % beat_ticks(score, tick)


def half_beat_ticks(score: Score, tick: int) -> int:
    """How long half of the felt beat is there, in whole ticks."""
    return max(1, beat_ticks(score, tick) // 2)


def half_beat_start(score: Score, tick: int) -> int:
    """The tick at which the half of a felt beat that holds ``tick`` begins."""
    return tick - (tick - beat_start(score, tick)) % half_beat_ticks(score, tick)
