"""Fit the weights of the bass line, given the analysts' chords; ``fit_harmony`` calls it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.optimize import minimize

from sitegen.analysis.harmony.bass import LABELS, BassTable, BassWeights, bass_table, scores_of
from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.evidence import Evidence
from sitegen.analysis.harmony.grid import Grid

PENALTY = 1.0
ROUNDS = 40
_SIZES = {name: len(labels) for name, labels in LABELS.items()}
_INTERVAL: Ints = np.array([[(b - a) % 12 for b in range(12)] for a in range(12)])
_SAME = np.eye(12) > 0


def fit_bass(pieces: Iterable[tuple[Grid, Evidence, Ints, Ints]]) -> BassWeights:
    """Weights that make the analysts' bass lines likeliest: for each piece its grid, evidence, chords and bass.

    By L-BFGS with a quadratic penalty. Pieces whose annotation leaves a gap are left out.
    """
    data = [(bass_table(g, e, c), b) for g, e, c, b in pieces if (c >= 0).all() and (b >= 0).all()]

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


def _log_sum(values: Floats, axis: int) -> Floats:
    peak = values.max(axis=axis, keepdims=True)
    peak = np.where(np.isfinite(peak), peak, 0.0)
    with np.errstate(divide="ignore"):
        out: Floats = np.log(np.exp(values - peak).sum(axis=axis)) + peak.squeeze(axis)
    return out


def _likelihood(table: BassTable, bass: Ints, weights: BassWeights) -> tuple[float, Floats]:
    """Log likelihood of one bass line, and its gradient."""
    stretch, step = scores_of(table, weights)
    atoms = len(table.level)
    ended, begun, end, begin = (np.full((atoms + 1, 12), -np.inf) for _ in range(4))
    begun[0] = 0
    for atom in range(1, atoms + 1):
        rows = slice(table.first[atom], table.first[atom + 1])
        ended[atom] = _log_sum(begun[table.start[rows]] + stretch[rows], 0)
        if atom < atoms:
            begun[atom] = _log_sum(ended[atom][:, None] + step[atom], 0)
    norm = float(_log_sum(ended[atoms], 0))
    end[atoms] = 0
    by_start = np.argsort(table.start, kind="stable")
    first = np.searchsorted(table.start[by_start], np.arange(atoms + 1))
    for atom in range(atoms - 1, -1, -1):
        rows = by_start[first[atom] : first[atom + 1]]
        begin[atom] = _log_sum(end[table.stop[rows]] + stretch[rows], 0)
        if atom:
            end[atom] = _log_sum(step[atom] + begin[atom][None, :], 1)
    held = -np.exp(begun[table.start] + stretch + end[table.stop] - norm)
    moved = -np.exp(ended[:atoms, :, None] + step + begin[:atoms, None, :] - norm)
    moved[0] = 0
    total, start = -norm, 0
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
        "motion": np.bincount(_INTERVAL.ravel(), steps.ravel(), minlength=12),
        "place": np.bincount(table.level[~anew], places, minlength=_SIZES["place"]),
        "with": places @ table.context[~anew],
        "run on": np.array([run_on]),
    }
    return np.concatenate([parts[name] for name in _SIZES])
