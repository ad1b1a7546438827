"""What a piece's own harmonic rhythm says for or against a change of chord at a place.

How often harmony changes at the bar, the beat or between beats differs from piece to piece far more than between the
bars of one piece, and bars answer each other. So a piece is heard more than once: from the changes believed in so far
it is counted how often this piece changes at each level of the metre and place of the bar, and whether it does so at
the same place of the bars around, and these counts weigh in the next hearing. (Features taken from a first model's
output: Cohen and Carvalho, Stacked sequential learning, IJCAI 2005. Harmonic rhythm: Piston, Harmony, ch. 5.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.grid import LEVELS, Grid

HABITS = (
    *(f"at the {level}" for level in LEVELS),
    "as often on this level of the metre", "as often at this place of the bar",
    "a bar before", "a bar after", "nothing begins there a bar before", "nothing begins there a bar after",
    "two bars before", "two bars after", "a beat before", "a beat after",
)  # fmt: skip
_OFTEN, _PLACE, _AROUND = len(LEVELS), len(LEVELS) + 1, len(LEVELS) + 2
_BARS = (-1, 1, -2, 2)
_COLUMNS = (0, 1, 4, 5)
_SAME_AS_USUAL, _SAME_AS_ITS_LEVEL = 5, 2
"""Counts start as if so many places had been heard before, changing as often as is usual, or as on their level."""


@dataclass(frozen=True, slots=True)
class RhythmWeights:
    """``habits`` weighs ``HABITS``; ``usual`` is how often, from 0 to 1, harmony changes at an onset of each level."""

    habits: Floats
    usual: Floats


def rhythm_named(weights: RhythmWeights) -> dict[str, dict[str, float]]:
    """Weights by label, rounded to thousandths: what the file holds."""
    tables = {"habits": (HABITS, weights.habits), "usual": (LEVELS, weights.usual)}
    return {
        name: {label: round(float(v), 3) for label, v in zip(labels, values, strict=True)}
        for name, (labels, values) in tables.items()
    }


def rhythm_from_named(data: Mapping[str, Mapping[str, float]]) -> RhythmWeights:
    """The inverse of ``rhythm_named``. Raises ``KeyError`` for a table or a label that is missing."""
    habits, usual = data["habits"], data["usual"]
    return RhythmWeights(np.array([habits[name] for name in HABITS]), np.array([usual[name] for name in LEVELS]))


def habits_of(grid: Grid, change: Floats, usual: Floats) -> Floats:
    """For each atom a row of ``HABITS``, from the belief in a change at its start; the first atom's is all 0.

    How often is the logarithm of the share of the places that change, over the share that is usual on the level.
    """
    atoms = len(grid)
    out = np.zeros((atoms, len(HABITS)))
    if atoms < 2:
        return out
    level = grid.level
    out[np.arange(atoms), level] = 1
    counted = np.concatenate([[0.0], change[1:]])
    share = _often(counted, level, usual[level], _SAME_AS_USUAL)
    out[:, _OFTEN] = share
    offset = grid.edges[:-1] - grid.edges[np.searchsorted(grid.bar, grid.bar)]
    kind = np.unique(offset, return_inverse=True)[1]
    out[:, _PLACE] = _often(counted, kind, usual[level], _SAME_AS_ITS_LEVEL) - share
    place = np.unique(grid.bar, return_inverse=True)[1]
    atom_at = {(int(b), int(o)): i for i, (b, o) in enumerate(zip(place, offset, strict=True))}
    for shift, column in zip(_BARS, _COLUMNS, strict=True):
        found = np.array([atom_at.get((int(b) + shift, int(o)), -1) for b, o in zip(place, offset, strict=True)])
        out[:, _AROUND + column] = np.where(found >= 0, change[found], 0.0)
        if abs(shift) == 1:
            out[:, _AROUND + column + 2] = found < 0
    atom_of = {int(tick): i for i, tick in enumerate(grid.edges[:-1])}
    for column, shift in ((6, -1), (7, 1)):
        ticks = grid.edges[:-1] + shift * grid.beat
        found = np.array([atom_of.get(int(tick), -1) for tick in ticks])
        out[:, _AROUND + column] = np.where(found >= 0, change[found], 0.0)
    out[0] = 0
    return out


def _often(change: Floats, kind: Ints, usual: Floats, start: int) -> Floats:
    """For each atom how often those of its kind change, against what is usual for them (logarithm of the ratio)."""
    number = np.bincount(kind)[kind]
    expected = np.bincount(kind, usual)[kind] / number
    share = (np.bincount(kind, change)[kind] + start * expected) / (number + start)
    out: Floats = np.log(share / expected)
    return out
