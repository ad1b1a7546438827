"""Every stretch of atoms that one chord may fill, and what speaks for each chord and key in it.

A score of a chord is linear in the weights: ``scores = tables @ weights``. The same tables serve the search and the
fitting script, so what is fitted is what is used.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import (
    CHORDS,
    INSIDE,
    KEYS,
    QUALITIES,
    ROLES,
    SCALES,
    Bools,
    Floats,
    Ints,
    role_table,
)
from sitegen.analysis.harmony.contrasts import contrasts_of
from sitegen.analysis.harmony.evidence import BY_MOTION, NONE, PAIRS, Evidence
from sitegen.analysis.harmony.grid import LEVELS, Grid
from sitegen.analysis.harmony.ranges import Ranges, ranges_between
from sitegen.analysis.harmony.surroundings import surroundings_of
from sitegen.score import Score

TONE_TABLES = (
    "absent", "share", "opening", "closing", "bottom", "bass share", "lowest", "delay", "gone", "onset share",
    "absent, heard before", "absent, heard after", "absent among few", "share of the bar",
)  # fmt: skip
"""What is known of each pitch class in a stretch: that it does not sound; the share of the time that it does; whether
it sounds at the start, at the end, is lowest at the start; the share of the time that it is lowest; whether it is the
lowest of all; the share of the stretch before it first sounds and after it last does; its share of the onsets; that it
does not sound but does in the beat before, or after; that it does not where at most two others do; the share of the
bar's time that it sounds, inside the stretch or not."""
LENGTHS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0)
CROWDS = (0, 1, 2, 3, 4, 6, 8, 12)
"""Upper bounds of the classes of length in beats, and of different onsets; what is more has a class of its own."""
LENGTH_NAMES = (*(f"up to {length} beats" for length in LENGTHS), "longer")
CROWD_NAMES = (*(f"up to {crowd} onsets" for crowd in CROWDS), "more")
_FEW = 2
_ROLE = role_table()


@dataclass(frozen=True, slots=True)
class Stretches:
    """Stretches sorted by ``stop``, then ``start`` (atoms, ``stop`` outside).

    ``tones`` holds for each of ``TONE_TABLES`` a table of stretches by pitch class, and ``around`` one for each of
    ``SURROUNDINGS``; ``misspelt`` counts, for the
    stretches ``odd`` and by chord, tones that are spelled otherwise than the chord's root asks; ``length`` and
    ``crowd`` are classes of length and of onsets, ``frame`` the pair of levels between which it lies; ``signature`` is
    how many signs each key is away from the signature, ``beats`` the length.

    By atom, to be ``summed`` over stretches once they are weighed: ``foreign``, the tables of beats and of onsets by
    pitch class and class of note; ``joined``, which counts notes by ``JOINS`` and ``PAIRS``. ``contrasts`` is by atom.
    """

    start: Ints
    stop: Ints
    tones: Floats
    around: Floats
    odd: Ints
    misspelt: Floats
    length: Ints
    crowd: Ints
    frame: Ints
    signature: Floats
    beats: Floats
    foreign: Floats
    joined: Floats
    contrasts: Floats

    def summed(self, table: Floats) -> Floats:
        """The sum over each stretch of a table by atom."""
        return Ranges(self.start, self.stop).summed(table)


def stretches_of(score: Score, grid: Grid, evidence: Evidence) -> Stretches:
    """All stretches between joints of ``grid`` with their tables."""
    ranges = ranges_between(grid.joint)
    start, stop, summed = ranges.start, ranges.stop, ranges.summed
    ticks = (grid.edges[stop] - grid.edges[start]).astype(np.float64)
    sounding = summed(evidence.sounding)
    silent = sounding.sum(axis=1) == 0
    absent = (sounding <= 0) & ~silent[:, None]
    lowest = np.zeros((len(start), 12))
    low = ranges.lowest(evidence.low)
    lowest[np.arange(len(start)), low % 12] = low < NONE
    following, preceding = _nearest(evidence)
    onsets = summed(evidence.count[:, :, :BY_MOTION].sum(axis=2))
    tones = np.stack(
        [
            absent.astype(np.float64),
            sounding / ticks[:, None],
            evidence.opening[start],
            evidence.closing[stop - 1],
            evidence.bottom[start],
            summed(evidence.lowest) / ticks[:, None],
            lowest,
            np.where(sounding > 0, (following[start] - grid.edges[start][:, None]) / ticks[:, None], 0.0),
            np.where(sounding > 0, (grid.edges[stop][:, None] - preceding[stop - 1]) / ticks[:, None], 0.0),
            onsets / np.maximum(onsets.sum(axis=1, keepdims=True), 1),
            absent & _sounds_before(grid, evidence)[start],
            absent & _sounds_after(grid, evidence)[stop],
            absent & ((sounding > 0).sum(axis=1) <= _FEW)[:, None],
            _share_of_bar(grid, evidence)[start],
        ],
        axis=1,
    )
    spelled = np.nan_to_num(evidence.fifths) * evidence.sounding
    fifths = np.divide(summed(spelled), sounding, out=np.full_like(sounding, np.nan), where=sounding > 0)
    beats = ticks / grid.beat[start]
    length = np.searchsorted(LENGTHS, beats - 1e-6)
    crowd = np.searchsorted(CROWDS, summed(evidence.moments))
    signature = np.array([[_distance(key, bar.fifths) for key in range(24)] for bar in score.bars], dtype=np.float64)
    return Stretches(
        start,
        stop,
        tones,
        surroundings_of(grid, evidence, ranges),
        *_misspelt(fifths),
        length,
        crowd,
        _frame(grid, start, stop),
        signature[grid.bar[start]],
        beats,
        np.concatenate([evidence.time, evidence.count], axis=2),
        evidence.joined,
        contrasts_of(grid, evidence),
    )


def _sounds_before(grid: Grid, evidence: Evidence) -> Bools:
    """Which pitch classes sound in the beat before each atom."""
    running = _running(evidence)
    other = np.searchsorted(grid.edges, grid.edges[:-1] - grid.beat)
    out: Bools = running[:-1] > running[other]
    return out


def _sounds_after(grid: Grid, evidence: Evidence) -> Bools:
    """Which pitch classes sound in the beat after each boundary."""
    running = _running(evidence)
    other = np.searchsorted(grid.edges, grid.edges + np.append(grid.beat, 0))
    out: Bools = running[np.minimum(other, len(grid))] > running
    return out


def _running(evidence: Evidence) -> Floats:
    return np.concatenate([np.zeros((1, 12)), np.cumsum(evidence.sounding, axis=0)])


def _share_of_bar(grid: Grid, evidence: Evidence) -> Floats:
    """For each atom the share of its bar's time during which each pitch class sounds."""
    bar = np.unique(grid.bar, return_inverse=True)[1]
    held = np.zeros((bar[-1] + 1, 12))
    np.add.at(held, bar, evidence.sounding)
    out: Floats = (held / np.bincount(bar, np.diff(grid.edges))[:, None])[bar]
    return out


def _frame(grid: Grid, start: Ints, stop: Ints) -> Ints:
    """The pair of levels at which a stretch starts and stops, the stop counted quickest."""
    level = np.append(grid.level, 0)
    out: Ints = len(LEVELS) * level[start] + level[stop]
    return out


def _nearest(evidence: Evidence) -> tuple[Floats, Floats]:
    """The tick at which each pitch class sounds first from each atom on, and last up to it."""
    sounds = evidence.sounding > 0
    following = np.minimum.accumulate(np.where(sounds, evidence.first, 1e9)[::-1])[::-1]
    preceding = np.maximum.accumulate(np.where(sounds, evidence.last, -1e9))
    return following, preceding


def _distance(key: int, fifths: int) -> float:
    """How many signs the signature of ``key`` is away from ``fifths``, enharmonic keys taken as one."""
    mode, tonic = KEYS[key]
    own = (7 * tonic - (3 if mode else 0)) % 12
    away = (own - fifths) % 12
    return float(min(away, 12 - away))


_PAIRS = sorted({(t, f) for q in QUALITIES for t, f in zip(q.tones, q.fifths, strict=True) if t})
"""Intervals with the steps on the line of fifths by which chords spell them."""
_ASKS: Floats = np.array(
    [[pair in zip(q.tones, q.fifths, strict=True) for q in QUALITIES] for pair in _PAIRS], dtype=np.float64
)
_TONES: Ints = (np.arange(12)[:, None] + np.array([interval for interval, _ in _PAIRS], dtype=np.int64)) % 12
_FIFTHS: Ints = np.array([steps for _, steps in _PAIRS])


def _misspelt(fifths: Floats) -> tuple[Ints, Floats]:
    """Which stretches have tones that are spelled otherwise than some root asks, and how many, by chord."""
    away = fifths.take(_TONES, axis=1)  # by root and pair
    away -= fifths[:, :, None]
    away -= _FIFTHS
    wrong = np.abs(away, out=away) > 3
    odd = np.flatnonzero(wrong.any(axis=(1, 2)))
    counted = wrong[odd].reshape(-1, len(_PAIRS)) @ _ASKS
    return odd, counted.reshape(-1, 12, len(QUALITIES)).transpose(0, 2, 1).reshape(-1, len(CHORDS))


def role_weights(weights: Floats) -> Floats:
    """Weights by role spread over pitch class and chord, 0 for foreign notes: 12 by chords."""
    return weights[_ROLE]


def gather_roles(gradient: Floats) -> Floats:
    """The transpose of ``role_weights``: a 12-by-chords table summed by role."""
    out = np.zeros(len(ROLES))
    np.add.at(out, _ROLE, gradient)
    return out


OUTSIDE: Floats = 1.0 - INSIDE
OFF_SCALE: Floats = np.array(
    [[(pc - tonic) % 12 not in SCALES[mode] for mode, tonic in KEYS] for pc in range(12)], dtype=np.float64
)
JOINED: Floats = np.array([(1 - INSIDE[x]) * INSIDE[y] for x, y in PAIRS])
"""By pair of neighbouring pitch classes and chord: the first foreign to it, the second of it."""
