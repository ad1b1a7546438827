"""Fit the weights of the bass line, given the analysts' chords; ``fit_harmony`` calls it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.optimize import minimize

from sitegen.analysis.harmony.bass import LABELS, BassWeights, bass_sums, scores_of
from sitegen.analysis.harmony.bass_cues import BassTable, bass_table
from sitegen.analysis.harmony.chords import Floats, Ints
from tests.benchmarks.annotated import Piece

PENALTY = 1.0
ROUNDS = 40
_SIZES = {name: len(labels) for name, labels in LABELS.items()}
_INTERVAL: Ints = np.array([[(b - a) % 12 for b in range(12)] for a in range(12)])
_SAME = np.eye(12) > 0


def fit_bass(pieces: Iterable[Piece]) -> BassWeights:
    """Weights that make the analysts' bass lines likeliest, given their chords.

    By L-BFGS with a quadratic penalty. Pieces whose annotation leaves a gap are left out.
    """
    data = [
        (bass_table(p.grid, p.evidence, p.stretches.contrasts, p.chord), p.bass)
        for p in pieces
        if (p.chord >= 0).all() and (p.bass >= 0).all()
    ]

    def loss(values: Floats) -> tuple[float, Floats]:
        weights = _unpack(values)
        total, gradient = 0.0, np.zeros_like(values)
        for table, bass in data:
            value, own = _likelihood(table, bass, weights)
            total += value
            gradient += own
        return PENALTY / 2 * values @ values - total, PENALTY * values - gradient

    start = np.zeros(sum(_SIZES.values()))
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS})
    return _unpack(found.x)


def _unpack(values: Floats) -> BassWeights:
    ends = np.cumsum(list(_SIZES.values()))
    return dict(zip(_SIZES, np.split(values, ends[:-1]), strict=True))


def _likelihood(table: BassTable, bass: Ints, weights: BassWeights) -> tuple[float, Floats]:
    """Log likelihood of one bass line, and its gradient."""
    stretch, step = scores_of(table, weights)
    atoms = len(table.level)
    sums = bass_sums(table, stretch, step)
    held = -np.exp(sums.begun[table.start] + stretch + sums.end[table.stop] - sums.norm)
    moved = -np.exp(sums.ended[:atoms, :, None] + step + sums.begin[:atoms, None, :] - sums.norm)
    moved[0] = 0
    total, start = -sums.norm, 0
    for atom in range(1, atoms + 1):
        if atom == atoms or table.joint[atom] or bass[atom] != bass[start]:
            row = table.first[atom] + start - table.start[table.first[atom]]
            held[row, bass[start]] += 1
            total += stretch[row, bass[start]]
            if start:
                moved[start, bass[start - 1], bass[start]] += 1
                total += step[start, bass[start - 1], bass[start]]
            start = atom
    return float(total), _gradient(table, held, moved)


def _gradient(table: BassTable, held: Floats, moved: Floats) -> Floats:
    anew = table.anew > 0
    own = moved[~anew].copy()
    run_on = own[:, _SAME].sum()
    own[:, _SAME] = 0
    steps = moved[anew].sum(axis=0) + own.sum(axis=0)
    places = own.sum(axis=(1, 2))
    parts = {
        "cue": np.einsum("sp,spc->c", held, table.cues),
        "length": np.bincount(table.length, held.sum(axis=1), minlength=_SIZES["length"]),
        "motion": np.bincount(_INTERVAL.ravel(), steps.ravel(), minlength=12),
        "place": np.bincount(table.level[~anew], places, minlength=_SIZES["place"]),
        "with": places @ table.context[~anew],
        "run on": np.array([run_on]),
    }
    return np.concatenate([parts[name] for name in _SIZES])
