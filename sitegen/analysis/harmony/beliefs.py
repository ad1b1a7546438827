"""How sure the readings of a score together are of each chord, key and change (posterior probabilities)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import WIDTH, Floats
from sitegen.analysis.harmony.lattice import STATES, Lattice
from sitegen.analysis.harmony.sums import Sums, Weighed, backward, by_chord, forward, weigh


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
    begins = to.begun * back.begun * _scale(to.begun_scale + back.begun_scale - norm)
    ends = to.ended * back.ended * _scale(to.ended_scale + back.ended_scale - norm)
    state = np.zeros((atoms, 24, WIDTH))
    for low, high in lattice.spans:
        rise = begins[low:high]
        rise[1:] -= ends[low + 1 : high]
        state[low:high] = np.maximum(np.cumsum(rise, axis=0), 0)
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
    atoms = len(lattice.change)
    inner = slice(1, atoms)
    scale = to.ended_scale[inner] + back.begun_scale[inner] - norm + lattice.change[1:]
    out = np.ones(atoms)
    out[1:] = np.einsum("bks,bks->b", to.between[inner], back.between[inner]) * np.exp(np.minimum(scale, 600))
    return out


def _scale(logs: Floats) -> Floats:
    """Scales by boundary in linear space, to be multiplied with tables of keys by degrees."""
    return np.exp(np.minimum(logs, 600))[:, None, None]
