"""Which tone of each harmony is its bass: a line, not the lowest note of each moment.

Given the chords, stretches of one bass tone are weighed against each other: what is lowest over the stretch, at its
start and on its beats, how the line moves, and where in the bar it does (a semi-Markov chain over twelve tones).
Each moment is given the tone that most of the readings' weight is behind, as with the chords (``choosing``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.bass_cues import CONTEXT, CUES, LENGTHS, BassTable
from sitegen.analysis.harmony.chords import Floats, Ints

MOTION = tuple(f"by {semitones}" for semitones in range(12))
PLACES = ("change at the bar", "at the half bar", "at a beat", "at a division", "at a subdivision")
LENGTH_NAMES = (*(f"up to {length} beats" for length in LENGTHS), "longer")
LABELS = {
    "cue": CUES, "length": LENGTH_NAMES, "motion": MOTION, "place": PLACES, "with": CONTEXT,
    "run on": ("over the bar line",),
}  # fmt: skip
POSITION_GAIN: Floats = np.array([0.0, 2.0, 1.0, 0.0, 0.0])
"""Added, by ``PLACES``, to the weight of a change of position. The analyses that the weights come from mark few of them
inside a harmony; whoever plays the bass line plays them all."""
LATE_LOSS = 0.75
"""Taken from a tone's weight for each beat, two at most, that passes before it is the lowest: likewise."""
BassWeights = dict[str, Floats]
_INTERVAL: Ints = np.array([[(b - a) % 12 for b in range(12)] for a in range(12)])


def bass_named(weights: BassWeights) -> dict[str, dict[str, float]]:
    """Weights by label, rounded to thousandths: what the file holds."""
    return {
        name: {label: round(float(v), 3) for label, v in zip(labels, weights[name], strict=True)}
        for name, labels in LABELS.items()
    }


def bass_from_named(data: dict[str, dict[str, float]]) -> BassWeights:
    """The inverse of ``bass_named``. Raises ``KeyError`` for a table or a label that is missing."""
    return {name: np.array([data[name][label] for label in labels]) for name, labels in LABELS.items()}


def scores_of(table: BassTable, weights: BassWeights, gain: Floats | float = 0.0) -> tuple[Floats, Floats]:
    """Log scores of each stretch by tone, and of the step at each atom from tone to tone, with a ``gain`` by place."""
    stretch = table.cues @ weights["cue"] + weights["length"][table.length][:, None] + table.allowed
    moves = weights["motion"][_INTERVAL]
    cost = (weights["place"] + gain)[table.level] + table.context @ weights["with"]
    same = np.eye(12) > 0
    step = np.empty((len(table.level), 12, 12))
    step[:] = moves + cost[:, None, None]
    step[:, same] = np.where(table.joint > 0, weights["run on"][0], -np.inf)[:, None]
    step[table.anew > 0] = moves
    return stretch, step


def bass_line(table: BassTable, weights: BassWeights) -> Ints:
    """The bass tone of each atom that the readings together are surest of."""
    stretch, step = scores_of(table, weights, POSITION_GAIN)
    stretch = stretch - LATE_LOSS * np.minimum(table.late, 2)
    sums = bass_sums(table, stretch, step)
    # a tone is the bass where it has begun more often than it has ended
    rise = np.exp(sums.begun + sums.begin - sums.norm)[:-1]
    rise[1:] -= np.exp(sums.ended + sums.end - sums.norm)[1:-1]
    out: Ints = np.cumsum(rise, axis=0).argmax(axis=1)
    return out


@dataclass(frozen=True, slots=True)
class BassSums:
    """Logarithms of sums over all readings, by boundary and tone: those ``ended`` there, those about to begin a stretch
    (``begun``), and, from behind, those to come once a stretch has ended (``end``) or before one begins (``begin``).
    """

    ended: Floats
    begun: Floats
    end: Floats
    begin: Floats
    norm: float


def bass_sums(table: BassTable, stretch: Floats, step: Floats) -> BassSums:
    """The forward-backward algorithm in logarithms."""
    atoms = len(table.level)
    ended, begun, end, begin = (np.full((atoms + 1, 12), -np.inf) for _ in range(4))
    begun[0] = 0
    for atom in range(1, atoms + 1):
        rows = slice(table.first[atom], table.first[atom + 1])
        ended[atom] = _log_sum(begun[table.start[rows]] + stretch[rows])
        if atom < atoms:
            begun[atom] = _log_sum(ended[atom][:, None] + step[atom])
    end[atoms] = 0
    by_start = np.argsort(table.start, kind="stable")
    first = np.searchsorted(table.start[by_start], np.arange(atoms + 1))
    for atom in range(atoms - 1, -1, -1):
        onward = by_start[first[atom] : first[atom + 1]]
        begin[atom] = _log_sum(end[table.stop[onward]] + stretch[onward])
        if atom:
            end[atom] = _log_sum(step[atom].T + begin[atom][:, None])
    return BassSums(ended, begun, end, begin, float(_log_sum(ended[atoms])))


def _log_sum(logs: Floats) -> Floats:
    """The logarithms of the sums, over the first axis, of what ``logs`` are the logarithms of."""
    out: Floats = np.logaddexp.reduce(logs, axis=0)
    return out
