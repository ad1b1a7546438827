"""How sure the readings of a score together are of each chord, key and change (posterior probabilities)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import WIDTH, Floats
from sitegen.analysis.harmony.lattice import STATES, Lattice
from sitegen.analysis.harmony.sums import Sums, Weighed, backward, by_chord, by_state, forward, weigh


@dataclass(frozen=True, slots=True)
class Beliefs:
    """How sure the search is: of each chord and each key's degree in each atom, and of a change at its start."""

    chord: Floats
    state: Floats
    change: Floats


def beliefs_of(lattice: Lattice) -> Beliefs:
    """Posterior probabilities of all readings."""
    weighed = weigh(lattice)
    to, back = forward(lattice, weighed), backward(lattice, weighed)
    atoms = len(lattice.change)
    norm = _norm(to, atoms)
    state = np.zeros((atoms, 24, WIDTH))
    for (low, high), (weights, peaks) in zip(lattice.spans, weighed, strict=True):
        rows = slice(lattice.first[low + 1], lattice.first[high + 1])
        starts, stops = lattice.start[rows], lattice.stop[rows]
        scale = to.begun_scale[starts] + back.ended_scale[stops] + peaks - norm
        weights *= to.begun[starts]
        weights *= back.ended[stops]
        weights *= np.exp(np.minimum(scale, 600))[:, None, None]
        rise = np.zeros((high - low + 1, 24, WIDTH))
        for row, (start, stop) in enumerate(zip(starts.tolist(), stops.tolist(), strict=True)):
            rise[start - low] += weights[row]
            rise[stop - low] -= weights[row]
        state[low:high] = np.maximum(np.cumsum(rise[:-1], axis=0), 0)
    state *= STATES >= 0
    return Beliefs(by_chord(state).sum(axis=1), state, _changes(lattice, to, back, norm))


def changes_of(lattice: Lattice, weighed: Weighed) -> tuple[Floats, float]:
    """``Beliefs.change`` alone, and the logarithm of the sum over all readings. ``weighed`` is ``weigh(lattice)``."""
    to, back = forward(lattice, weighed), backward(lattice, weighed)
    norm = _norm(to, len(lattice.change))
    return _changes(lattice, to, back, norm), norm


def _norm(to: Sums, atoms: int) -> float:
    return float(np.log(to.ended[atoms].sum()) + to.ended_scale[atoms])


def _changes(lattice: Lattice, to: Sums, back: Sums, norm: float) -> Floats:
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    atoms = len(lattice.change)
    ended, begun = to.ended[1:atoms], back.begun[1:atoms]
    heard = ended + by_state(hear.T @ by_chord(ended))
    onward = np.concatenate([begun[:, :12] @ step[0].T, begun[:, 12:] @ step[1].T], axis=1)
    scale = to.ended_scale[1:atoms] + back.begun_scale[1:atoms] - norm + lattice.change[1:]
    out = np.ones(atoms)
    out[1:] = (heard * onward).sum(axis=(1, 2)) * np.exp(np.minimum(scale, 600))
    return out
