"""Sums over all paths through a lattice, from the front and from behind (the forward-backward algorithm).

They run in linear space, scaled at each boundary; stretches never cross a joint, so one span between joints is
weighed at a time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import DEGREE_OF, EXISTS, KNOWN, SAFE, Lattice

_STATES = 24 * WIDTH
_NO_DEGREE = int(np.flatnonzero(EXISTS.ravel() == 0)[0])
"""Stands for no degree: a place of the table of states that is always 0."""
_BY_CHORD: Ints = np.where(KNOWN > 0, np.arange(24)[:, None] * WIDTH + DEGREE_OF, _NO_DEGREE).ravel()
_BY_STATE: Ints = (np.arange(24)[:, None] * len(CHORDS) + SAFE).ravel()
_SAFE_FLAT: Ints = SAFE.ravel()


@dataclass(frozen=True, slots=True)
class Sums:
    """What ``forward`` and ``backward`` leave: scaled values and the logarithms of their scales.

    By boundary, key and degree: ``ended`` sums the paths whose stretch ends there, before the step to the next is
    taken; ``begun`` those about to begin a stretch there, after it. ``between`` is what the step itself joins, before
    its own weight: from the front ``ended``, heard anew; from behind ``begun``, a step to another chord before it.
    """

    ended: Floats
    ended_scale: Floats
    begun: Floats
    begun_scale: Floats
    between: Floats


def by_chord(states: Floats) -> Floats:
    """States (..., 24 keys, degrees; 0 where a key has no such degree) as chords of each key (..., 24 keys, chords)."""
    flat = states.reshape(*states.shape[:-2], _STATES).take(_BY_CHORD, axis=-1)
    out: Floats = flat.reshape(*states.shape[:-2], 24, len(CHORDS))
    return out


def by_state(chords: Floats) -> Floats:
    """The inverse of ``by_chord``: chords of each key as states."""
    flat = chords.reshape(*chords.shape[:-2], 24 * len(CHORDS)).take(_BY_STATE, axis=-1)
    out: Floats = flat.reshape(*chords.shape[:-2], 24, WIDTH) * EXISTS
    return out


Weighed = list[tuple[Floats, Floats]]


def weigh(lattice: Lattice) -> Weighed:
    """For each span its stretches by state in linear space, and the logarithms of their scales.

    They do not depend on ``change`` and ``run_on``, so lattices that differ in those alone may share them.
    """
    rows = (slice(lattice.first[low + 1], lattice.first[high + 1]) for low, high in lattice.spans)
    return [_weigh(lattice.chord[span], lattice.key[span]) for span in rows]


def _weigh(chord: Floats, key: Floats) -> tuple[Floats, Floats]:
    chord_peak, key_peak = chord.max(axis=1), key.max(axis=1)
    weights = np.exp(chord - chord_peak[:, None]).take(_SAFE_FLAT, axis=1).reshape(-1, 24, WIDTH)
    weights *= np.exp(key - key_peak[:, None])[:, :, None]
    return weights, chord_peak + key_peak


def forward(lattice: Lattice, weighed: Weighed) -> Sums:
    """Sums over all paths from the start to each boundary."""
    atoms = len(lattice.change)
    sums, steps = _blank(atoms), _Steps.of(lattice)
    peak = lattice.opening.max()
    sums.begun[0], sums.begun_scale[0] = np.exp(lattice.opening - peak), peak
    for (low, high), (weights, peaks) in zip(lattice.spans, weighed, strict=True):
        base = lattice.first[low + 1]
        for stop in range(low + 1, high + 1):
            rows = slice(lattice.first[stop] - base, lattice.first[stop + 1] - base)
            paths = sums.begun[low:stop], sums.begun_scale[low:stop]
            sums.ended[stop], sums.ended_scale[stop] = _gather(*paths, weights[rows], peaks[rows])
            if stop < atoms:
                heard = by_state(steps.hear.T @ by_chord(sums.ended[stop]))
                sums.between[stop] = heard
                sums.begun[stop] = steps.taken(stop, heard, _in_each_mode(heard, steps.step))
                sums.begun_scale[stop] = sums.ended_scale[stop] + steps.scale[stop]
    return sums


def backward(lattice: Lattice, weighed: Weighed) -> Sums:
    """Sums over all paths from each boundary to the end."""
    atoms = len(lattice.change)
    sums, steps = _blank(atoms), _Steps.of(lattice)
    back = steps.step.transpose(0, 2, 1)
    sums.ended[atoms] = EXISTS
    for (low, high), (weights, peaks) in zip(reversed(lattice.spans), reversed(weighed), strict=True):
        for start in range(high - 1, low - 1, -1):
            rows = _rows_from(start - low, high - low)
            paths = sums.ended[start + 1 : high + 1], sums.ended_scale[start + 1 : high + 1]
            sums.begun[start], sums.begun_scale[start] = _gather(*paths, weights[rows], peaks[rows])
            if start > 0:
                onward = _in_each_mode(sums.begun[start], back)
                sums.between[start] = onward
                taken = steps.taken(start, sums.begun[start], onward)
                sums.ended[start] = by_state(steps.hear @ by_chord(taken))
                sums.ended_scale[start] = sums.begun_scale[start] + steps.scale[start]
    return sums


@cache
def _rows_from(start: int, size: int) -> Ints:
    """The rows of a span of ``size`` atoms, sorted by ``stop``, of the stretches that begin at its atom ``start``."""
    before = np.arange(start, size)
    out: Ints = before * (before + 1) // 2 + start
    return out


def _blank(atoms: int) -> Sums:
    tables = (np.zeros((atoms + 1, 24, WIDTH)) for _ in range(3))
    scales = (np.zeros(atoms + 1) for _ in range(2))
    ended, begun, between = tables
    ended_scale, begun_scale = scales
    return Sums(ended, ended_scale, begun, begun_scale, between)


def _gather(values: Floats, scales: Floats, weights: Floats, peaks: Floats) -> tuple[Floats, float]:
    """The paths of several stretches that meet at one boundary, summed and scaled."""
    logs = scales + peaks
    top = logs.max()
    total = np.exp(logs - top) @ (values * weights).reshape(len(logs), _STATES)
    size = total.max()
    return total.reshape(24, WIDTH) / size, float(top + np.log(size))


def _in_each_mode(states: Floats, step: Floats) -> Floats:
    """States after a step from degree to degree, of which each mode has its own."""
    out: Floats = (states.reshape(2, 12, WIDTH) @ step).reshape(24, WIDTH)
    return out


@dataclass(frozen=True, slots=True)
class _Steps:
    """What a step costs, in linear space: from degree to degree (``step``), from key to key or in the same (``hear``).
    By boundary: that the chord changes (``change``) or runs on (``run_on``: 0 where it cannot, ``change`` then 1), and
    the logarithm of their ``scale``."""

    step: Floats
    hear: Floats
    change: Floats
    run_on: Floats
    scale: Floats

    @staticmethod
    def of(lattice: Lattice) -> _Steps:
        """Those of a lattice."""
        scale = np.maximum(lattice.change, lattice.run_on)
        change, run_on = np.exp(lattice.change - scale), np.exp(lattice.run_on - scale)
        return _Steps(np.exp(lattice.steps), np.exp(lattice.key_steps) + np.eye(24), change, run_on, scale)

    def taken(self, boundary: int, stayed: Floats, moved: Floats) -> Floats:
        """The paths on both sides of a boundary together: those whose chord runs on and those that step to another."""
        if not self.run_on[boundary]:
            return moved
        out: Floats = self.change[boundary] * moved + self.run_on[boundary] * stayed
        return out
