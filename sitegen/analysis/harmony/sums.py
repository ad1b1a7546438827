"""Sums over all paths through a lattice, from the front and from behind (the forward-backward algorithm).

They run in linear space, scaled at each boundary; stretches never cross a joint, so one span between joints is
weighed at a time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import DEGREE_OF, EXISTS, KNOWN, SAFE, Lattice

_STATES = 24 * WIDTH
_BY_CHORD: Ints = (np.arange(24)[:, None] * WIDTH + DEGREE_OF).ravel()
_BY_STATE: Ints = (np.arange(24)[:, None] * len(CHORDS) + SAFE).ravel()
_SAFE_FLAT: Ints = SAFE.ravel()


@dataclass(frozen=True, slots=True)
class Sums:
    """What ``forward`` and ``backward`` leave: scaled values and the logarithms of their scales.

    By boundary, key and degree: ``ended`` sums the paths whose stretch ends there, before the step to the next is
    taken; ``begun`` those about to begin a stretch there, after it.
    """

    ended: Floats
    ended_scale: Floats
    begun: Floats
    begun_scale: Floats


def by_chord(states: Floats) -> Floats:
    """States (..., 24 keys, degrees) as chords of each key (..., 24 keys, chords)."""
    flat = states.reshape(*states.shape[:-2], _STATES).take(_BY_CHORD, axis=-1)
    out: Floats = flat.reshape(*states.shape[:-2], 24, len(CHORDS)) * KNOWN
    return out


def by_state(chords: Floats) -> Floats:
    """The inverse of ``by_chord``: chords of each key as states."""
    flat = chords.reshape(*chords.shape[:-2], 24 * len(CHORDS)).take(_BY_STATE, axis=-1)
    out: Floats = flat.reshape(*chords.shape[:-2], 24, WIDTH) * EXISTS
    return out


def heard_anew(ended: Floats, hear: Floats) -> Floats:
    """Paths ending in each state, in the key they had or heard anew in another."""
    out: Floats = ended + by_state(hear.T @ by_chord(ended))
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


def _gather(values: Floats, scales: Floats, weights: Floats, peaks: Floats) -> tuple[Floats, float]:
    logs = scales + peaks
    top = logs.max()
    total = np.einsum(
        "s,sx,sx->x", np.exp(logs - top), values.reshape(len(values), -1), weights.reshape(len(values), -1)
    )
    size = total.max()
    return total.reshape(24, WIDTH) / size, float(top + np.log(size))


def forward(lattice: Lattice, weighed: Weighed) -> Sums:
    """Sums over all paths from the start to each boundary."""
    atoms = len(lattice.change)
    ended, begun = np.zeros((atoms + 1, 24, WIDTH)), np.zeros((atoms + 1, 24, WIDTH))
    ended_scale, begun_scale = np.zeros(atoms + 1), np.zeros(atoms + 1)
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    peak = lattice.opening.max()
    begun[0], begun_scale[0] = np.exp(lattice.opening - peak), peak
    for (low, high), (weights, peaks) in zip(lattice.spans, weighed, strict=True):
        base = lattice.first[low + 1]
        for stop in range(low + 1, high + 1):
            rows = slice(lattice.first[stop] - base, lattice.first[stop + 1] - base)
            total, ended_scale[stop] = _gather(begun[low:stop], begun_scale[low:stop], weights[rows], peaks[rows])
            ended[stop] = total * EXISTS
            if stop == atoms:
                break
            heard = heard_anew(ended[stop], hear)
            change, run_on = lattice.change[stop], lattice.run_on[stop]
            top = max(change, run_on)
            total = np.exp(run_on - top) * heard
            total[:12] += np.exp(change - top) * (heard[:12] @ step[0])
            total[12:] += np.exp(change - top) * (heard[12:] @ step[1])
            size = total.max()
            begun[stop], begun_scale[stop] = total / size, ended_scale[stop] + top + np.log(size)
    return Sums(ended, ended_scale, begun, begun_scale)


def backward(lattice: Lattice, weighed: Weighed) -> Sums:
    """Sums over all paths from each boundary to the end."""
    atoms = len(lattice.change)
    ended, begun = np.zeros((atoms + 1, 24, WIDTH)), np.zeros((atoms + 1, 24, WIDTH))
    ended_scale, begun_scale = np.zeros(atoms + 1), np.zeros(atoms + 1)
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    ended[atoms] = EXISTS
    for (low, high), (weights, peaks) in zip(reversed(lattice.spans), reversed(weighed), strict=True):
        size_of_span = np.arange(high - low)
        for start in range(high - 1, low - 1, -1):
            own = size_of_span[start - low :]
            rows = own * (own + 1) // 2 + (start - low)
            stops = slice(start + 1, high + 1)
            begun[start], begun_scale[start] = _gather(ended[stops], ended_scale[stops], weights[rows], peaks[rows])
            if start == 0:
                break
            change, run_on = lattice.change[start], lattice.run_on[start]
            top = max(change, run_on)
            back = np.exp(run_on - top) * begun[start]
            back[:12] += np.exp(change - top) * (begun[start, :12] @ step[0].T)
            back[12:] += np.exp(change - top) * (begun[start, 12:] @ step[1].T)
            total = back + by_state(hear @ by_chord(back))
            size = total.max()
            ended[start], ended_scale[start] = total / size, begun_scale[start] + top + np.log(size)
    return Sums(ended, ended_scale, begun, begun_scale)
