"""Where a chord may change: the note onsets that fall on beats and their halves or thirds.

In the annotations that the weights come from, 98 of 100 changes fall there and all on an onset. No chord is searched
across a bar line; one that lasts longer continues over it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.score import Bar, Score

LEVELS = ("bar", "half bar", "beat", "division", "subdivision")
_LONGEST = 16


@dataclass(frozen=True, slots=True)
class Grid:
    """The places of a score where a chord may change.

    ``edges`` are ticks, one more than atoms; ``level`` counts into ``LEVELS``; ``joint`` is true where a chord must
    be joined (at bar lines) rather than run on; ``beat`` is the beat's length in ticks, ``quarter`` that of a quarter;
    ``bar`` the bar's index.
    """

    edges: Ints
    level: Ints
    joint: Ints
    beat: Floats
    bar: Ints
    quarter: int

    def __len__(self) -> int:
        return len(self.level)


def counted_ticks(score: Score, bar: Bar) -> int:
    """How long what is counted in ``bar`` is: a beat; in 3/8 and 3/16 the whole bar, whose eighths are too quick."""
    metre = bar.metre
    quarters = metre.quarters if metre.beats == 3 and metre.beat_type >= 8 else metre.beat_quarters
    return max(1, int(quarters * score.ticks_per_quarter))


def grid_of(score: Score, joined: Collection[int] = ()) -> Grid:
    """The grid of ``score``; a score without bars has no atoms. ``joined`` are ticks that no search crosses either:
    what is to be known before and after them is known by itself."""
    onsets = sorted({*(note.onset for note in score.sounding()), *joined})
    edges, levels, joints, beats, bars = [], [], [], [], []
    at = 0
    for bar in score.bars:
        if bar.length <= 0:
            continue
        beat = counted_ticks(score, bar)
        since = 0
        while at < len(onsets) and onsets[at] < bar.onset:
            at += 1
        for tick in _starts(bar, onsets, at):
            level = 0 if tick == bar.onset else _level(bar, tick, beat)
            if level is None and tick not in joined:
                continue
            since = 0 if tick == bar.onset or tick in joined else since + 1
            edges.append(tick)
            levels.append(len(LEVELS) - 1 if level is None else level)
            joints.append(int(since % _LONGEST == 0))
            beats.append(beat)
            bars.append(bar.index)
    return Grid(
        np.array([*edges, score.end], dtype=np.int64),
        np.array(levels, dtype=np.int64),
        np.array(joints, dtype=np.int64),
        np.array(beats, dtype=np.float64),
        np.array(bars, dtype=np.int64),
        score.ticks_per_quarter,
    )


def _starts(bar: Bar, onsets: list[int], at: int) -> list[int]:
    starts = [bar.onset]
    while at < len(onsets) and onsets[at] < bar.end:
        if onsets[at] > bar.onset:
            starts.append(onsets[at])
        at += 1
    return starts


def _level(bar: Bar, tick: int, beat: int) -> int | None:
    place = bar.lead + tick - bar.onset
    beats = (bar.lead + bar.length) // beat
    if beats >= 4 and beats % 2 == 0 and place % (2 * beat) == 0:
        return 1
    if place % beat == 0:
        return 2 if beats > 2 else 1
    compound = bar.metre.beats % 3 == 0 and bar.metre.beat_type >= 8
    if 3 * place % beat == 0 and (compound or 2 * place % beat):
        return 3 if compound else None
    if 2 * place % beat == 0:
        return None if compound else 3
    return 4 if not compound and 4 * place % beat == 0 and bar.metre.beat_type <= 2 else None
