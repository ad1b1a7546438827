"""Which tone of each harmony is its bass: a line, not the lowest note of each moment.

Given the chords, stretches of one bass tone are weighed against each other: what is lowest over the stretch, at its
start and on its beats, how the line moves, and where in the bar it does (a semi-Markov chain over twelve tones).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, Floats, Ints
from sitegen.analysis.harmony.contrasts import contrasts_of
from sitegen.analysis.harmony.evidence import Evidence
from sitegen.analysis.harmony.grid import Grid

CUES = (
    "lowest at the start", "lowest of all", "lowest chord tone", "share of time as lowest", "share of divisions",
    "share of beats", "lowest in the lowest staff", "struck at the start", "silent", "lowest of the bar",
    "root", "third", "fifth", "seventh", "lowest chord tone at the start",
)  # fmt: skip
MOTION = tuple(f"by {semitones}" for semitones in range(12))
PLACES = ("change at the bar", "at the half bar", "at a beat", "at a division", "at a subdivision")
CONTEXT = ("bass enters", "lowest staff enters", "same lowest tone", "lowest tone steps", "onsets")
_CONTEXT = [2, 3, 6, 7, 1]
LABELS = {"cue": CUES, "motion": MOTION, "place": PLACES, "with": CONTEXT, "run on": ("over the bar line",)}
BassWeights = dict[str, Floats]


def bass_named(weights: BassWeights) -> dict[str, dict[str, float]]:
    """Weights by label, rounded to thousandths: what the file holds."""
    return {
        name: {label: round(float(v), 3) for label, v in zip(labels, weights[name], strict=True)}
        for name, labels in LABELS.items()
    }


def bass_from_named(data: dict[str, dict[str, float]]) -> BassWeights:
    """The inverse of ``bass_named``. Raises ``KeyError`` for a table or a label that is missing."""
    return {name: np.array([data[name][label] for label in labels]) for name, labels in LABELS.items()}


@dataclass(frozen=True, slots=True)
class BassTable:
    """Stretches between joints (chord changes and bar lines) with the cues for each pitch class in them.

    ``allowed`` is 0 for chord tones and minus infinity for others; ``anew`` tells at each atom whether the chord
    changes there.
    """

    start: Ints
    stop: Ints
    first: Ints
    cues: Floats
    allowed: Floats
    joint: Ints
    anew: Ints
    level: Ints
    context: Floats


def bass_table(grid: Grid, evidence: Evidence, chords: Ints) -> BassTable:
    """The table for ``chords``, one for each atom."""
    atoms = len(grid)
    anew = np.ones(atoms, dtype=np.int64)
    anew[1:] = chords[1:] != chords[:-1]
    joint = np.maximum(anew, grid.joint)
    starts: list[int] = []
    stops: list[int] = []
    span = 0
    for atom in range(atoms):
        if joint[atom]:
            span = atom
        starts += range(span, atom + 1)
        stops += [atom + 1] * (atom + 1 - span)
    start, stop = np.array(starts, dtype=np.int64), np.array(stops, dtype=np.int64)
    inside = INSIDE[:, chords].T > 0
    cues = np.zeros((len(start), 12, len(CUES)))
    rows = np.arange(len(start))

    def summed(table: Floats) -> Floats:
        running = np.concatenate([np.zeros((1, *table.shape[1:])), np.cumsum(table, axis=0)])
        out: Floats = running[stop] - running[start]
        return out

    def one_hot(low: Ints) -> Floats:
        out = np.zeros((len(low), 12))
        out[np.arange(len(low)), low % 12] = low < 999
        return out

    def lowest(by_atom: Ints) -> Ints:
        out = by_atom[start].copy()
        for shift in range(1, int((stop - start).max(initial=0))):
            reach = start + shift < stop
            out[reach] = np.minimum(out[reach], by_atom[start[reach] + shift])
        return out

    low_tone = np.where(inside, evidence.low_by_tone, 999).min(axis=1)
    cues[:, :, 0] = evidence.bottom[start]
    cues[:, :, 1] = one_hot(lowest(evidence.low))
    cues[:, :, 2] = one_hot(lowest(low_tone))
    held = summed(evidence.lowest)
    cues[:, :, 3] = held / np.maximum(held.sum(axis=1, keepdims=True), 1)
    cues[:, :, 4] = summed(one_hot(low_tone)) / (stop - start)[:, None]
    cues[:, :, 5] = (
        summed(_on_beats(grid, low_tone)) / np.maximum(summed((grid.level <= 2).astype(np.float64)), 1)[:, None]
    )
    cues[:, :, 6] = one_hot(lowest(evidence.low_in_staff))
    cues[:, :, 7] = evidence.struck[start]
    cues[:, :, 8] = summed(evidence.sounding) == 0
    cues[:, :, 9] = one_hot(_over_bars(grid, low_tone))[start]
    roots = np.array([CHORDS[c][1] for c in chords])[start]
    for slot, thirds in ((10, (0,)), (11, (3, 4)), (12, (6, 7, 8)), (13, (9, 10, 11))):
        for interval in thirds:
            cues[rows, (roots + interval) % 12, slot] = 1
    cues[:, :, 14] = one_hot(low_tone[start])
    allowed = np.where(inside[start], 0.0, -np.inf)
    first = np.searchsorted(stop, np.arange(atoms + 2))
    return BassTable(
        start, stop, first, cues, allowed, joint, anew, grid.level, contrasts_of(grid, evidence)[:, _CONTEXT]
    )


def _on_beats(grid: Grid, low: Ints) -> Floats:
    """For each atom that begins a beat, the lowest tone up to the next beat."""
    out = np.zeros((len(grid), 12))
    starts = [*np.flatnonzero(grid.level <= 2), len(grid)]
    for start, stop in pairwise(starts):
        tone = int(low[start:stop].min())
        if tone < 999:
            out[start, tone % 12] = 1
    return out


def _over_bars(grid: Grid, low: Ints) -> Ints:
    out = np.full(len(grid), 999, dtype=np.int64)
    starts = [*np.flatnonzero(grid.level == 0), len(grid)]
    for start, stop in pairwise(starts):
        out[start:stop] = low[start:stop].min()
    return out


_INTERVAL: Ints = np.array([[(b - a) % 12 for b in range(12)] for a in range(12)])


def scores_of(table: BassTable, weights: BassWeights) -> tuple[Floats, Floats]:
    """Log scores of each stretch by tone, and of the step at each atom from tone to tone."""
    stretch = table.cues @ weights["cue"] + table.allowed
    moves = weights["motion"][_INTERVAL]
    cost = weights["place"][table.level] + table.context @ weights["with"]
    same = np.eye(12) > 0
    step = np.empty((len(table.level), 12, 12))
    step[:] = moves + cost[:, None, None]
    step[:, same] = np.where(table.joint > 0, weights["run on"][0], -np.inf)[:, None]
    step[table.anew > 0] = moves
    return stretch, step


def bass_line(table: BassTable, weights: BassWeights) -> Ints:
    """The likeliest bass tone of each atom."""
    stretch, step = scores_of(table, weights)
    atoms = len(table.level)
    best = np.zeros((atoms + 1, 12))
    begin = np.zeros((atoms + 1, 12))
    came = np.zeros((atoms + 1, 12), dtype=np.int64)
    origin = np.zeros((atoms + 1, 12), dtype=np.int64)
    for atom in range(1, atoms + 1):
        rows = slice(table.first[atom], table.first[atom + 1])
        total = begin[table.start[rows]] + stretch[rows]
        choice = total.argmax(axis=0)
        best[atom] = total[choice, np.arange(12)]
        origin[atom] = table.start[rows][choice]
        if atom < atoms:
            onward = best[atom][:, None] + step[atom]
            came[atom] = onward.argmax(axis=0)
            begin[atom] = onward.max(axis=0)
    out = np.zeros(atoms, dtype=np.int64)
    tone, atom = int(best[atoms].argmax()), atoms
    while atom > 0:
        start = int(origin[atom, tone])
        out[start:atom] = tone
        if start:
            tone = int(came[start, tone])
        atom = start
    return out
