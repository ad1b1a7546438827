"""What the notes say of each stretch that one bass tone may fill, and of each place where the bass may change."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, Floats, Ints
from sitegen.analysis.harmony.contrasts import CONTRASTS
from sitegen.analysis.harmony.evidence import NONE, Evidence
from sitegen.analysis.harmony.grid import LEVELS, Grid
from sitegen.analysis.harmony.ranges import Ranges, ranges_between

CUES = (
    "lowest at the start", "lowest of all", "lowest chord tone", "share of time as lowest", "share of divisions",
    "lowest chord tone in the lowest staff", "struck lowest at the start", "silent", "root", "third", "fifth",
    "seventh", "first lowest in the lowest staff", "octaves above the lowest of the bar",
)  # fmt: skip
LENGTHS = (0.75, 1.5, 2.5)
"""Upper bounds in beats of the classes of length; what is more has a class of its own."""
_SHARED = (
    "bass enters", "lowest staff enters", "same lowest tone", "lowest tone steps", "onsets",
    "lowest staff rises from its bass", "lowest staff falls to a bass",
)  # fmt: skip
_SHARED_COLUMNS = [CONTRASTS.index(name) for name in _SHARED]
CONTEXT = (
    *_SHARED, "up over a fifth", "down over a fifth", "the beat's lowest tone is new",
    "the lowest tone before comes back", "one tone sounds alone", "share of the bar with one tone alone",
    "time left for the chord",
)  # fmt: skip
_OCTAVE, _FIFTH, _FARTHEST = 12, 7, 24
_BEAT, _DIVISION = LEVELS.index("beat"), LEVELS.index("division")
_LONGEST_LEFT = 4
"""Beats; what is left beyond counts no more."""


@dataclass(frozen=True, slots=True)
class BassTable:
    """Stretches between joints (chord changes and bar lines) with the cues for each pitch class in them.

    ``length`` is a class of ``LENGTHS``; ``allowed`` is 0 for chord tones and minus infinity for others; ``anew``
    tells at each atom whether the chord changes there; ``level`` is the grid's, but quarters count as beats where the
    beat is two of them or more; ``context`` has a row of ``CONTEXT`` for each atom; ``late`` is in beats.
    """

    start: Ints
    stop: Ints
    first: Ints
    cues: Floats
    length: Ints
    allowed: Floats
    joint: Ints
    anew: Ints
    level: Ints
    context: Floats
    late: Floats


def bass_table(grid: Grid, evidence: Evidence, contrasts: Floats, chords: Ints) -> BassTable:
    """The table for ``chords``, one for each atom; ``contrasts`` are those of ``contrasts_of``."""
    atoms = len(grid)
    anew = np.ones(atoms, dtype=np.int64)
    anew[1:] = chords[1:] != chords[:-1]
    joint = np.maximum(anew, grid.joint)
    ranges = ranges_between(joint)
    start, stop = ranges.start, ranges.stop
    inside = INSIDE[:, chords].T > 0
    chord_tones = np.where(inside, evidence.low_by_tone, NONE)
    low = chord_tones.min(axis=1)
    in_staff = np.where(inside, evidence.low_in_staff, NONE).min(axis=1)
    beats = (grid.edges[stop] - grid.edges[start]) / grid.beat[start]
    return BassTable(
        start,
        stop,
        np.searchsorted(stop, np.arange(atoms + 2)),
        _cues(grid, evidence, chords, chord_tones, in_staff, ranges),
        np.searchsorted(LENGTHS, beats),
        np.where(inside[start], 0.0, -np.inf),
        joint,
        anew,
        np.where((grid.level == _DIVISION) & (grid.beat >= 2 * grid.quarter), _BEAT, grid.level),
        np.concatenate(
            [
                contrasts[:, _SHARED_COLUMNS],
                _motions(grid, low),
                _alone(grid, evidence),
                _beats_left(grid, joint)[:, None] / _LONGEST_LEFT,
            ],
            axis=1,
        ),
        _beats_late(grid, low, in_staff, start, stop),
    )


def _cues(grid: Grid, evidence: Evidence, chords: Ints, tones: Ints, in_staff: Ints, ranges: Ranges) -> Floats:
    """A row of ``CUES`` for each stretch and pitch class.

    ``tones`` has the lowest note of each chord tone by atom, ``in_staff`` the lowest chord tone of the lowest staff.
    """
    start, stop, summed, lowest = ranges.start, ranges.stop, ranges.summed, ranges.lowest
    cues = np.zeros((len(start), 12, len(CUES)))
    rows = np.arange(len(start))
    low = tones.min(axis=1)
    by_tone = lowest(tones)
    held = summed(evidence.lowest)
    cues[:, :, 0] = evidence.bottom[start]
    cues[:, :, 1] = _one_hot(lowest(evidence.low))
    cues[:, :, 2] = _one_hot(by_tone.min(axis=1))
    cues[:, :, 3] = held / np.maximum(held.sum(axis=1, keepdims=True), 1)
    cues[:, :, 4] = summed(_one_hot(low)) / (stop - start)[:, None]
    cues[:, :, 5] = _one_hot(lowest(in_staff))
    cues[:, :, 6] = evidence.struck[start] * evidence.bottom[start]
    cues[:, :, 7] = summed(evidence.sounding) == 0
    roots = np.array([CHORDS[c][1] for c in chords])[start]
    for slot, thirds in ((8, (0,)), (9, (3, 4)), (10, (6, 7, 8)), (11, (9, 10, 11))):
        for interval in thirds:
            cues[rows, (roots + interval) % 12, slot] = 1
    cues[:, :, 12] = _one_hot(_first_of(in_staff, start, stop))
    cues[:, :, 13] = _octaves_above(by_tone, _lowest_between(low, np.flatnonzero(grid.level == 0))[start])
    return cues


def _beats_late(grid: Grid, low: Ints, in_staff: Ints, start: Ints, stop: Ints) -> Floats:
    """For each stretch and tone how many beats after the first chord tone it is first the lowest.

    Where the lowest staff comes in later than a melody alone it counts from there: a bass that was silent is not late.
    """
    there = np.concatenate([_one_hot(low) > 0, (in_staff < NONE)[:, None]], axis=1)
    first = np.minimum.accumulate(np.where(there, grid.edges[:-1, None], np.inf)[::-1])[::-1]
    end = grid.edges[stop][:, None]
    reached, entered = np.minimum(first[start, :12], end), first[start, 12:]
    since = np.where(entered < end, entered, reached.min(axis=1, keepdims=True))
    out: Floats = np.maximum(reached - since, 0) / grid.beat[start][:, None]
    return out


def _beats_left(grid: Grid, joint: Ints) -> Floats:
    """For each atom how many beats are left until the next joint, ``_LONGEST_LEFT`` at most."""
    joints = np.flatnonzero(np.append(joint, 1))
    following = joints[np.searchsorted(joints, np.arange(len(grid)), "right")]
    out: Floats = np.minimum((grid.edges[following] - grid.edges[:-1]) / grid.beat, _LONGEST_LEFT)
    return out


def _first_of(low: Ints, start: Ints, stop: Ints) -> Ints:
    """For each stretch the first of ``low`` in it; ``NONE`` where there is none."""
    filled = np.flatnonzero(low < NONE)
    following = np.append(filled, len(low))[np.searchsorted(filled, start)]
    return np.where(following < stop, np.append(low, NONE)[following], NONE)


def _one_hot(low: Ints) -> Floats:
    out = np.zeros((len(low), 12))
    out[np.arange(len(low)), low % 12] = low < NONE
    return out


def _octaves_above(tones: Ints, low: Ints) -> Floats:
    """How far each tone lies above ``low``, in octaves, two at most; two for what does not sound."""
    away: Floats = np.where(tones < NONE, np.clip(tones - low[:, None], 0, _FARTHEST), _FARTHEST) / _OCTAVE
    return away


def _lowest_between(low: Ints, starts: Ints) -> Ints:
    """For each atom the lowest of ``low`` from the last of ``starts`` up to the next."""
    out = np.full(len(low), NONE, dtype=np.int64)
    for start, stop in pairwise([*starts.tolist(), len(low)]):
        out[start:stop] = low[start:stop].min()
    return out


def _motions(grid: Grid, low: Ints) -> Floats:
    """For each atom the four of ``CONTEXT`` about motion: the lowest chord tone of the beat that begins there against
    that of the beat before, and of the beat after.
    """
    atoms = len(grid)
    out = np.zeros((atoms, 4))
    if atoms < 2:
        return out
    here = np.arange(1, atoms)
    ticks = grid.edges[here]
    beats = np.flatnonzero(grid.level <= 2)
    next_beat = np.append(beats, atoms)[np.searchsorted(beats, here, "right")]
    before = _lowest_in(low, np.minimum(np.searchsorted(grid.edges, ticks - grid.beat[here]), here - 1), here)
    after = _lowest_in(low, here, next_beat)
    onward = np.searchsorted(grid.edges, ticks + grid.beat[here])
    later = _lowest_in(low, onward, np.minimum(np.searchsorted(grid.edges, ticks + 2 * grid.beat[here]), atoms))
    known = (before < NONE) & (after < NONE)
    out[1:, 0] = known & (after - before > _FIFTH)
    out[1:, 1] = known & (before - after > _FIFTH)
    out[1:, 2] = known & ((after - before) % 12 != 0)
    out[1:, 3] = known & (later < NONE) & ((later - before) % 12 == 0)
    return out


def _alone(grid: Grid, evidence: Evidence) -> Floats:
    """For each atom the last two of ``CONTEXT``: a broken chord in one voice, or in octaves, has no bass of its own."""
    alone = (evidence.sounding > 0).sum(axis=1) == 1
    bar = np.unique(grid.bar, return_inverse=True)[1]
    ticks = np.diff(grid.edges)
    return np.stack([alone, (np.bincount(bar, alone * ticks) / np.bincount(bar, ticks))[bar]], axis=1)


def _lowest_in(low: Ints, start: Ints, stop: Ints) -> Ints:
    """The lowest of ``low`` from each start up to its stop; ``NONE`` where that is empty."""
    return np.array(
        [low[a:b].min(initial=NONE) for a, b in zip(start.tolist(), stop.tolist(), strict=True)], dtype=np.int64
    )
