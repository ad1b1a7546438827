"""All readings of a score at once: stretches, chords and keys weighed against each other.

A semi-Markov conditional random field (Sarawagi and Cohen, Semi-Markov conditional random fields for information
extraction, NIPS 2004) whose segments are chords in keys. A step from one chord to the next is taken in one key; what
sounds may first be heard anew in another key (a pivot chord), at a cost.

Sums run in linear space, scaled at each boundary.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, WIDTH, Floats, Ints, state_chords
from sitegen.analysis.harmony.evidence import BY_MOTION
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.mixtures import Mixtures, mixed
from sitegen.analysis.harmony.stretches import JOINED, OFF_SCALE, OUTSIDE, TONE_TABLES, Stretches, role_weights
from sitegen.analysis.harmony.weights import Weights, key_steps, steps_between

STATES: Ints = state_chords()
EXISTS = (STATES >= 0).astype(np.float64)
SAFE: Ints = np.where(STATES >= 0, STATES, 0)
"""Stands for any chord where a mode has no such degree: what is read there never counts (``EXISTS``)."""


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
    spans: tuple[tuple[int, int], ...]


def lattice_of(grid: Grid, stretches: Stretches, weights: Weights, mixtures: Mixtures) -> Lattice:
    """Every stretch, chord and key scored by ``weights``, and by what ``mixtures`` of cues add."""
    span = weights["length"][stretches.length] + weights["crowd"][stretches.crowd] + weights["frame"][stretches.frame]
    by_role = np.concatenate([role_weights(weights[name]) for name in TONE_TABLES])
    chord = stretches.tones.reshape(len(span), -1) @ by_role
    foreign = stretches.foreign @ np.concatenate([weights["foreign beats"], weights["foreign onsets"]])
    joined = weights["joined"] @ stretches.joined
    chord += stretches.summed(np.concatenate([foreign, joined], axis=1)) @ np.concatenate([OUTSIDE, JOINED])
    chord += span[:, None]
    chord += mixed(stretches, mixtures)
    chord[stretches.odd] += weights["misspelt"][0] * stretches.misspelt
    beats, onsets = key_features(stretches)
    key = (
        weights["off the scale"][0] * (beats @ OFF_SCALE)
        + weights["off the scale"][1] * (onsets @ OFF_SCALE)
        + weights["signature"][0] * stretches.signature * stretches.beats[:, None]
    )
    features = stretches.contrasts
    change = weights["change at"][grid.level] + features @ weights["change with"]
    run_on = np.where(grid.joint > 0, features @ weights["over the bar line"], -np.inf)
    opening = np.repeat(weights["degree"], 12, axis=0) + (
        weights["signature"][1] * stretches.signature[0][:, None] if len(grid) else 0.0
    )
    opening = np.where(STATES >= 0, opening, -np.inf)
    first = np.searchsorted(stretches.stop, np.arange(len(grid) + 2))
    joints = [*np.flatnonzero(grid.joint).tolist(), len(grid)]
    spans = tuple(pairwise(joints))
    return Lattice(
        stretches.start, stretches.stop, first, chord, key, change, run_on, opening,
        steps_between(weights), key_steps(weights), spans,
    )  # fmt: skip


def softened(lattice: Lattice, sureness: float) -> Lattice:
    """The same with all log scores times ``sureness``: below 1, what is less likely keeps more of a chance."""
    tables = ("chord", "key", "change", "run_on", "opening", "steps", "key_steps")
    return replace(lattice, **{name: sureness * getattr(lattice, name) for name in tables})


def key_features(stretches: Stretches) -> tuple[Floats, Floats]:
    """Beats and onsets by stretch and pitch class, whatever the kind of note."""
    half = stretches.foreign.shape[2] // 2
    beats, onsets = (stretches.foreign[:, :, first : first + BY_MOTION].sum(axis=2) for first in (0, half))
    return stretches.summed(beats), stretches.summed(onsets)
