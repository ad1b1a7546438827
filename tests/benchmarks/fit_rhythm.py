"""Fit the weights of a piece's own harmonic rhythm, given lattices of the first hearing; ``fit_harmony`` calls it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize

from sitegen.analysis.harmony.beliefs import changes_of
from sitegen.analysis.harmony.chords import Floats
from sitegen.analysis.harmony.grid import LEVELS
from sitegen.analysis.harmony.harmonic_rhythm import HABITS, RhythmWeights, habits_of
from sitegen.analysis.harmony.lattice import Lattice
from sitegen.analysis.harmony.sums import weigh
from tests.benchmarks.annotated import Piece

PENALTY = 4.0
ROUNDS = 25


@dataclass(frozen=True, slots=True)
class Heard:
    """A piece with the lattice by weights that were fitted without it, and where its analyst changes chord.

    ``cost`` is what wrong chords of a stretch are favoured by (softmax margin).
    """

    piece: Piece
    lattice: Lattice
    changes: Floats
    cost: Floats


def fit_rhythm(heard: Sequence[Heard]) -> RhythmWeights:
    """Weights that make the analysts' changes likeliest in a second hearing.

    By L-BFGS with a quadratic penalty, the first hearing's lattice kept as it is.
    """
    believed = [changes_of(h.lattice, weigh(h.lattice))[0] for h in heard]
    usual = _usual(heard, believed)
    habits = [habits_of(h.piece.grid, change, usual) for h, change in zip(heard, believed, strict=True)]
    favoured = [replace(h.lattice, chord=h.lattice.chord + h.cost) for h in heard]
    weighed = [weigh(lattice) for lattice in favoured]

    def loss(values: Floats) -> tuple[float, Floats]:
        total, gradient = -PENALTY / 2 * values @ values, -PENALTY * values
        for one, lattice, own, table in zip(heard, favoured, weighed, habits, strict=True):
            added = table @ values
            expected, norm = changes_of(replace(lattice, change=lattice.change + added), own)
            total += one.changes @ added - norm
            gradient = gradient + (one.changes - expected)[1:] @ table[1:]
        return -total, -gradient

    found = minimize(loss, np.zeros(len(HABITS)), jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS})
    return RhythmWeights(found.x, usual)


def _usual(heard: Sequence[Heard], believed: Sequence[Floats]) -> Floats:
    """How often harmony changes at an onset of each level, over all pieces."""
    level = np.concatenate([h.piece.grid.level[1:] for h in heard])
    change = np.concatenate([b[1:] for b in believed])
    out: Floats = np.bincount(level, change, minlength=len(LEVELS)) / np.bincount(level, minlength=len(LEVELS))
    return out
