"""All readings of a score at once: stretches, chords and keys weighed against each other.

A semi-Markov conditional random field (Sarawagi and Cohen, Semi-Markov conditional random fields for information
extraction, NIPS 2004) whose segments are chords in keys. A step from one chord to the next is taken in one key; what
sounds may first be heard anew in another key (a pivot chord), at a cost.

Sums run in linear space, scaled at each boundary.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, WIDTH, Floats, Ints, state_chords
from sitegen.analysis.harmony.evidence import Evidence
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.stretches import OFF_SCALE, OUTSIDE, TONE_TABLES, Stretches, role_weights
from sitegen.analysis.harmony.weights import Weights, key_steps, steps_between

STATES: Ints = state_chords()
_EXISTS = (STATES >= 0).astype(np.float64)
_SAFE: Ints = np.where(STATES >= 0, STATES, 0)
KEY_COLUMN: Ints = np.arange(24)[:, None]


def _inverse() -> tuple[Ints, Floats]:
    """For each key and chord the degree that it is, and whether there is one."""
    column = np.zeros((24, len(CHORDS)), dtype=np.int64)
    known = np.zeros((24, len(CHORDS)))
    for key in range(24):
        for degree in range(WIDTH):
            if STATES[key, degree] >= 0:
                column[key, STATES[key, degree]] = degree
                known[key, STATES[key, degree]] = 1
    return column, known


DEGREE_OF, KNOWN = _inverse()


@dataclass(frozen=True, slots=True)
class Lattice:
    """Log scores: of each stretch by chord and by key, of a change or a running on at each atom, and of the start."""

    start: Ints
    stop: Ints
    first: Ints
    chord: Floats
    key: Floats
    change: Floats
    run_on: Floats
    opening: Floats
    steps: Floats
    key_steps: Floats


def change_features(grid: Grid, evidence: Evidence) -> Floats:
    """For each atom: 1, onsets at its start (4 or more = 1), whether bass and lowest staff enter."""
    entering = evidence.entering
    return np.stack(
        [np.ones(len(grid)), np.minimum(entering[:, 0], 4) / 4, entering[:, 1], entering[:, 2]], axis=1
    )  # fmt: skip


def lattice_of(grid: Grid, evidence: Evidence, stretches: Stretches, weights: Weights) -> Lattice:
    """Every stretch, chord and key scored by ``weights``."""
    foreign = stretches.foreign @ np.concatenate([weights["foreign beats"], weights["foreign onsets"]])
    by_role = np.concatenate([role_weights(weights[name]) for name in TONE_TABLES])
    chord = (
        foreign @ OUTSIDE
        + stretches.tones.reshape(len(foreign), -1) @ by_role
        + weights["misspelt"][0] * stretches.misspelt
        + weights["length"][stretches.length][:, None]
    )
    counted = key_features(stretches)
    key = (
        weights["off the scale"][0] * (counted[0] @ OFF_SCALE)
        + weights["off the scale"][1] * (counted[1] @ OFF_SCALE)
        + weights["signature"][0] * stretches.signature * stretches.beats[:, None]
    )
    features = change_features(grid, evidence)
    change = weights["change at"][grid.level] + features @ weights["change with"]
    run_on = np.where(grid.joint > 0, features @ weights["over the bar line"], -np.inf)
    opening = np.repeat(weights["degree"], 12, axis=0) + (
        weights["signature"][1] * stretches.signature[0][:, None] if len(grid) else 0.0
    )
    opening = np.where(STATES >= 0, opening, -np.inf)
    first = np.searchsorted(stretches.stop, np.arange(len(grid) + 2))
    return Lattice(
        stretches.start, stretches.stop, first, chord, key, change, run_on, opening,
        steps_between(weights), key_steps(weights),
    )  # fmt: skip


def key_features(stretches: Stretches) -> tuple[Floats, Floats]:
    """Beats and onsets by stretch and pitch class, whatever the kind of note."""
    kinds = 18
    half = stretches.foreign.shape[2] // 2
    return stretches.foreign[:, :, :kinds].sum(axis=2), stretches.foreign[:, :, half : half + kinds].sum(axis=2)


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


def forward(lattice: Lattice) -> Sums:
    """Sums over all paths from the start to each boundary."""
    atoms = len(lattice.change)
    ended, begun = np.zeros((atoms + 1, 24, WIDTH)), np.zeros((atoms + 1, 24, WIDTH))
    ended_scale, begun_scale = np.zeros(atoms + 1), np.zeros(atoms + 1)
    step = np.exp(lattice.steps)
    hear = np.exp(lattice.key_steps)
    chord_peak = lattice.chord.max(axis=1)
    chord = np.exp(lattice.chord - chord_peak[:, None])
    key_peak = lattice.key.max(axis=1)
    key = np.exp(lattice.key - key_peak[:, None])
    peak = chord_peak + key_peak
    opening_peak = lattice.opening.max()
    begun[0], begun_scale[0] = np.exp(lattice.opening - opening_peak), opening_peak
    for stop in range(1, atoms + 1):
        rows = slice(lattice.first[stop], lattice.first[stop + 1])
        starts = lattice.start[rows]
        scale = begun_scale[starts] + peak[rows]
        top = scale.max()
        factor = np.exp(scale - top)[:, None] * key[rows]
        total = np.einsum("skd,skd->kd", begun[starts] * factor[:, :, None], chord[rows][:, _SAFE]) * _EXISTS
        size = total.max()
        ended[stop], ended_scale[stop] = total / size, top + np.log(size)
        if stop < atoms:
            begun[stop], begun_scale[stop] = _begin(ended[stop], ended_scale[stop], stop, lattice, step, hear)
    return Sums(ended, ended_scale, begun, begun_scale)


def heard_anew(ended: Floats, hear: Floats) -> Floats:
    """Paths ending in each chord, in the key they had or heard anew in another."""
    by_chord = ended[KEY_COLUMN, DEGREE_OF] * KNOWN
    out: Floats = ended + (hear.T @ by_chord)[KEY_COLUMN, _SAFE] * _EXISTS
    return out


def _begin(
    ended: Floats, scale: float, atom: int, lattice: Lattice, step: Floats, hear: Floats
) -> tuple[Floats, float]:
    heard = heard_anew(ended, hear)
    change, run_on = lattice.change[atom], lattice.run_on[atom]
    top = max(change, run_on)
    moved = np.concatenate([heard[:12] @ step[0], heard[12:] @ step[1]])
    total = np.exp(change - top) * moved + np.exp(run_on - top) * heard
    size = total.max()
    return total / size, scale + top + np.log(size)


def backward(lattice: Lattice) -> Sums:
    """Sums over all paths from each boundary to the end: ``begun`` and ``ended`` as seen from behind."""
    atoms = len(lattice.change)
    ended, begun = np.zeros((atoms + 1, 24, WIDTH)), np.zeros((atoms + 1, 24, WIDTH))
    ended_scale, begun_scale = np.zeros(atoms + 1), np.zeros(atoms + 1)
    step = np.exp(lattice.steps)
    hear = np.exp(lattice.key_steps)
    chord_peak = lattice.chord.max(axis=1)
    chord = np.exp(lattice.chord - chord_peak[:, None])
    key_peak = lattice.key.max(axis=1)
    key = np.exp(lattice.key - key_peak[:, None])
    peak = chord_peak + key_peak
    by_start = np.argsort(lattice.start, kind="stable")
    first = np.searchsorted(lattice.start[by_start], np.arange(atoms + 1))
    ended[atoms] = _EXISTS
    for start in range(atoms - 1, -1, -1):
        rows = by_start[first[start] : first[start + 1]]
        stops = lattice.stop[rows]
        scale = ended_scale[stops] + peak[rows]
        top = scale.max()
        factor = np.exp(scale - top)[:, None] * key[rows]
        total = np.einsum("skd,skd->kd", ended[stops] * factor[:, :, None], chord[rows][:, _SAFE]) * _EXISTS
        size = total.max()
        begun[start], begun_scale[start] = total / size, top + np.log(size)
        if start:
            change, run_on = lattice.change[start], lattice.run_on[start]
            top = max(change, run_on)
            moved = np.concatenate([begun[start, :12] @ step[0].T, begun[start, 12:] @ step[1].T])
            back = np.exp(change - top) * moved + np.exp(run_on - top) * begun[start]
            by_chord = back[KEY_COLUMN, DEGREE_OF] * KNOWN
            total = back + (hear @ by_chord)[KEY_COLUMN, _SAFE] * _EXISTS
            size = total.max()
            ended[start], ended_scale[start] = total / size, begun_scale[start] + top + np.log(size)
    return Sums(ended, ended_scale, begun, begun_scale)
