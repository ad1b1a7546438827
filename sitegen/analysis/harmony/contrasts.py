"""What at a place speaks for or against a change of chord, whatever the chords: who enters, and how new it sounds."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.chords import Floats
from sitegen.analysis.harmony.evidence import NONE, Evidence
from sitegen.analysis.harmony.grid import Grid

CONTRASTS = (
    "any", "onsets", "bass enters", "lowest staff enters", "alike", "alike over a beat", "same lowest tone",
    "lowest tone steps", "new tones", "lowest staff rises from its bass", "lowest staff falls to a bass",
)  # fmt: skip

_THIRD = 3


def contrasts_of(grid: Grid, evidence: Evidence) -> Floats:
    """For each atom's start one row of ``CONTRASTS``.

    "onsets" is 1 for four or more; "alike" the cosine between the pitch classes of the atoms before and after, or of
    the beats before and after; "new tones" a quarter for each pitch class that did not sound in the beat before. The
    lowest staff rises from its bass where it strikes a note a third or more above its lowest of the beat before, as in
    the midst of a figure, and falls to one where it strikes a note so much below.
    """
    atoms = len(grid)
    out = np.zeros((atoms, len(CONTRASTS)))
    out[:, 0] = 1
    out[:, 1] = np.minimum(evidence.entering[:, 0], 4) / 4
    out[:, 2:4] = evidence.entering[:, 1:3]
    sounding = np.concatenate([np.zeros((1, 12)), np.cumsum(evidence.sounding, axis=0)])
    lowest = np.concatenate([np.zeros((1, 12)), np.cumsum(evidence.lowest, axis=0)])
    here = np.arange(1, atoms)
    starts = grid.edges[here]
    left = np.searchsorted(grid.edges, starts - grid.beat[here])
    right = np.minimum(np.searchsorted(grid.edges, starts + grid.beat[here]), atoms)
    out[1:, 4] = _cosine(evidence.sounding[:-1], evidence.sounding[1:])
    out[1:, 5] = _cosine(sounding[here] - sounding[left], sounding[right] - sounding[here])
    low_before, low_after = lowest[here] - lowest[left], lowest[right] - lowest[here]
    known = low_before.any(axis=1) & low_after.any(axis=1)
    away = (low_after.argmax(axis=1) - low_before.argmax(axis=1)) % 12
    out[1:, 6] = known & (away == 0)
    out[1:, 7] = known & np.isin(away, (1, 2, 10, 11))
    new = (evidence.sounding[1:] > 0) & (sounding[here] - sounding[left] == 0)
    out[1:, 8] = new.sum(axis=1) / 4
    struck = evidence.entering[1:, 2] > 0
    low = evidence.low_in_staff.min(axis=1)
    before = np.array([low[a:b].min(initial=NONE) for a, b in zip(left, here, strict=True)])
    rise = np.where(struck & (before < NONE), low[1:] - before, 0)
    out[1:, 9] = rise >= _THIRD
    out[1:, 10] = rise <= -_THIRD
    return out


def _cosine(one: Floats, other: Floats) -> Floats:
    """Row by row; 1 where a row is empty."""
    size = np.sqrt((one * one).sum(axis=1) * (other * other).sum(axis=1))
    out: Floats = np.divide((one * other).sum(axis=1), size, out=np.ones(len(one)), where=size > 0)
    return out
