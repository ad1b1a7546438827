"""How sure the readings of a score together are of each chord, key and change (posterior probabilities)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import STATES, Lattice
from sitegen.analysis.harmony.sums import Boundary, Paths, Weighed, backward, forward, weigh


@dataclass(frozen=True, slots=True)
class Beliefs:
    """How sure the search is: of each chord and each key's degree in each atom, and of a change at its start."""

    chord: Floats
    state: Floats
    change: Floats


def beliefs_of(lattice: Lattice) -> Beliefs:
    """Posterior probabilities of all readings."""
    paths = Paths.of(lattice, weigh(lattice))
    to = list(forward(paths))
    atoms, norm = len(lattice.change), norm_of(to[-1])
    state, change = np.zeros((atoms, STATES.size)), np.ones(atoms)
    joints = {low for low, _ in lattice.spans}
    for atom, back in zip(range(atoms, -1, -1), backward(paths), strict=True):
        if atom == atoms:
            continue
        here = to[atom]
        scale = _scale(here.scale + back.scale - norm)
        begins = here.begun * back.begun
        if atom not in joints:
            begins -= here.ended * back.ended
        state[atom] = begins * scale
        if atom:
            change[atom] = paths.change[atom] * scale * (here.between @ back.between)
    chord = np.empty((atoms, len(CHORDS)))
    for low, high in lattice.spans:
        span = state[low:high]
        np.maximum(np.cumsum(span, axis=0), 0, out=span)
        chord[low:high] = np.add.reduceat(span.take(IN_ORDER, axis=1), OF_CHORD, axis=1)
    return Beliefs(chord, state.reshape(atoms, 24, WIDTH), change)


_KNOWN: Ints = np.flatnonzero(STATES.ravel() >= 0)
IN_ORDER: Ints = _KNOWN[np.argsort(STATES.ravel()[_KNOWN], kind="stable")]
"""The states chord by chord, all keys of one together."""
OF_CHORD: Ints = np.searchsorted(STATES.ravel()[IN_ORDER], np.arange(len(CHORDS)))


def changes_of(lattice: Lattice, weighed: Weighed) -> tuple[Floats, float]:
    """``Beliefs.change`` alone, and the logarithm of the sum over all readings. ``weighed`` is ``weigh(lattice)``."""
    paths = Paths.of(lattice, weighed)
    between, scale = [], []
    for here in forward(paths):
        between.append(here.between)
        scale.append(here.scale)
    norm, atoms = norm_of(here), len(lattice.change)
    change = np.ones(atoms)
    for atom, back in zip(range(atoms, 0, -1), backward(paths), strict=False):
        if atom < atoms:
            change[atom] = paths.change[atom] * _scale(scale[atom] + back.scale - norm) * (between[atom] @ back.between)
    return change, norm + paths.level


def norm_of(last: Boundary) -> float:
    """The logarithm of the sum over all paths, against the level of the best, from the last boundary from the front."""
    return float(np.log(last.ended.sum())) + last.scale


def _scale(logs: float) -> float:
    """A scale in linear space, to be multiplied with a table of states."""
    return float(np.exp(min(logs, 600)))
