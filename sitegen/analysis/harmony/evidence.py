"""What the notes say for or against a chord, before any weight is given to it.

Every table is by atom of the grid and pitch class, so that a stretch of atoms is summed by differences of running
sums. A note is told apart by how its voice comes to it and leaves it: one that is passed through by step is weak
evidence, one that is leapt to and left by leap is strong.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.voices import KINDS, kind_of, lowest_at_onset, motions_of
from sitegen.score import Note, Score

CLASSES = (
    *(f"{place} {kind}" for place in ("accented", "unaccented") for kind in KINDS),
    "bass accented",
    "bass unaccented",
)
"""Classes of notes; those of the bass count beside their class by motion."""
BY_MOTION = 2 * len(KINDS)
JOINS = ("resolves into it, beats", "resolves into it", "comes from it, beats", "comes from it")
"""A foreign note that goes on by step to a tone of the chord, or comes by step from one: its length, and one each."""
_STEPS = {-2: 0, -1: 1, 1: 2, 2: 3}
PAIRS = tuple((pc, (pc + away) % 12) for pc in range(12) for away in _STEPS)
NONE = 999
"""Stands for the MIDI number of no note."""
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


@dataclass(frozen=True, slots=True)
class Evidence:
    """Tables by atom, most of them by atom and pitch class.

    time, count     beats sounded and onsets, by ``CLASSES``
    joined          notes by ``JOINS`` and ``PAIRS``
    sounding        ticks during which the pitch class sounds
    lowest          ticks during which it is the lowest to sound
    opening         1 if it sounds at the atom's start; closing: at its end
    bottom          1 if it is the lowest at the start (or at the first sound); struck: of those that begin there
    first, last     ticks at which it begins and ceases to sound in the atom
    fifths          its spelling on the line of fifths, C = 0, weighted by time; not a number where it is silent
    low             the lowest MIDI number in the atom; low_by_tone: by pitch class; low_in_staff: likewise, of the
                    notes of the lowest staff
    moments         different onsets in the atom
    entering        onsets at its start, whether the bass enters with them, whether the lowest staff does
    """

    time: Floats
    count: Floats
    joined: Floats
    sounding: Floats
    lowest: Floats
    opening: Floats
    closing: Floats
    bottom: Floats
    struck: Floats
    first: Floats
    last: Floats
    fifths: Floats
    low: Ints
    low_by_tone: Ints
    low_in_staff: Ints
    moments: Floats
    entering: Floats


def evidence_of(score: Score, grid: Grid) -> Evidence:
    """The evidence of the notes of ``score``, graces left out."""
    notes = list(score.sounding())
    evidence = _blank(len(grid))
    if notes:
        _sweep(notes, grid, evidence)
        _weigh(notes, grid, evidence, score.ticks_per_quarter)
    return evidence


def _blank(atoms: int) -> Evidence:
    def zeros(*shape: int) -> Floats:
        return np.zeros((atoms, *shape))

    def none(*shape: int) -> Ints:
        return np.full((atoms, *shape), NONE, dtype=np.int64)

    return Evidence(
        time=zeros(12, len(CLASSES)), count=zeros(12, len(CLASSES)), joined=zeros(len(JOINS), len(PAIRS)),
        sounding=zeros(12), lowest=zeros(12), opening=zeros(12), closing=zeros(12), bottom=zeros(12), struck=zeros(12),
        first=zeros(12), last=zeros(12), fifths=zeros(12), low=none(), low_by_tone=none(12), low_in_staff=none(12),
        moments=zeros(), entering=zeros(3),
    )  # fmt: skip


def _weigh(notes: list[Note], grid: Grid, evidence: Evidence, quarter: int) -> None:
    """Fill the tables that count each note by itself."""
    edges = grid.edges
    first = (np.searchsorted(edges, [n.onset for n in notes], "right") - 1).tolist()
    last = np.minimum(np.searchsorted(edges, [n.end for n in notes], "left"), len(grid)).tolist()
    before, after = motions_of(notes, quarter)
    is_bass = lowest_at_onset(notes)
    bottom_staff = max(n.home_staff for n in notes)
    spelled = np.zeros((len(grid), 12))
    struck = np.full(len(grid), NONE, dtype=np.int64)
    beats = grid.beat.tolist()
    ticks = edges.tolist()
    for i, note in enumerate(notes):
        start, pc = first[i], note.midi % 12
        at_start = note.onset == ticks[start]
        accented = at_start and int(grid.level[start]) <= 2
        kind = kind_of(before[i], after[i]) + (0 if accented else len(KINDS))
        kinds = [kind, BY_MOTION + (not accented)] if is_bass[i] else [kind]
        evidence.count[start, pc, kinds] += 1
        for table, away in ((0, after[i]), (2, -before[i])):
            if away in _STEPS:
                pair = len(_STEPS) * pc + _STEPS[away]
                evidence.joined[start, table, pair] += min(1.0, note.duration / beats[start])
                evidence.joined[start, table + 1, pair] += 1
        line = _FIFTHS[note.pitch.step] + 7 * note.pitch.alter
        for atom in range(start, last[i]):
            held = min(note.end, ticks[atom + 1]) - max(note.onset, ticks[atom])
            evidence.time[atom, pc, kinds] += held / beats[atom]
            evidence.fifths[atom, pc] += line * held
            spelled[atom, pc] += held
            evidence.low_by_tone[atom, pc] = min(evidence.low_by_tone[atom, pc], note.midi)
            if note.home_staff == bottom_staff:
                evidence.low_in_staff[atom, pc] = min(evidence.low_in_staff[atom, pc], note.midi)
        if at_start:
            struck[start] = min(struck[start], note.midi)
            entering = evidence.entering[start]
            entering[0] += 1
            entering[1] = max(entering[1], float(is_bass[i]))
            entering[2] = max(entering[2], float(note.home_staff == bottom_staff))
    evidence.fifths[:] = np.divide(evidence.fifths, spelled, out=np.full_like(spelled, np.nan), where=spelled > 0)
    evidence.struck[np.arange(len(grid)), struck % 12] = struck < NONE
    onsets = np.searchsorted(edges, sorted({n.onset for n in notes}), "right") - 1
    evidence.moments[:] = np.bincount(onsets, minlength=len(grid))


def _sweep(notes: list[Note], grid: Grid, evidence: Evidence) -> None:
    """Fill the tables of what sounds together, moment by moment."""
    edges = grid.edges.tolist()
    moments = sorted({n.onset for n in notes} | {n.end for n in notes} | set(edges))
    position, atom = 0, -1
    held: list[Note] = []
    for start, end in pairwise(moments):
        held = [n for n in held if n.end > start]
        while position < len(notes) and notes[position].onset <= start:
            if notes[position].end > start:
                held.append(notes[position])
            position += 1
        while atom + 1 < len(grid) and edges[atom + 1] <= start:
            atom += 1
        if atom < 0 or start >= edges[-1] or not held:
            continue
        low = min(n.midi for n in held)
        evidence.lowest[atom, low % 12] += end - start
        evidence.low[atom] = min(evidence.low[atom], low)
        for pc in {n.midi % 12 for n in held}:
            if not evidence.sounding[atom, pc]:
                evidence.first[atom, pc] = start
            evidence.last[atom, pc] = end
            evidence.sounding[atom, pc] += end - start
            if start == edges[atom]:
                evidence.opening[atom, pc] = 1
            if end == edges[atom + 1]:
                evidence.closing[atom, pc] = 1
        if not evidence.bottom[atom].any():
            evidence.bottom[atom, low % 12] = 1
