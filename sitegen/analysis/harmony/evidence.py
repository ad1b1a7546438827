"""What the notes say for or against a chord, before any weight is given to it.

Every table is by atom of the grid and pitch class, so that a stretch of atoms is summed by differences of running
sums. A note is told apart by how its voice comes to it and leaves it: one that is passed through by step is weak
evidence, one that is leapt to and left by leap is strong.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.grid import Grid
from sitegen.score import Note, Score

MOTIONS = ("step", "same", "leap")
KINDS = tuple(f"{a}-{d}" for a in MOTIONS for d in MOTIONS)
CLASSES = (
    *(f"{place} {kind}" for place in ("accented", "unaccented") for kind in KINDS),
    "bass accented",
    "bass unaccented",
)
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


@dataclass(frozen=True, slots=True)
class Evidence:
    """Tables by atom and pitch class (the first index is the atom, the second the pitch class).

    ``time`` and ``count`` have a third index into ``CLASSES``: beats sounded, and onsets. ``sounding`` and ``lowest``
    are ticks during which the pitch class sounds, and is the lowest to sound; ``opening`` and ``closing`` tell whether
    it sounds at the atom's start and at its end; ``bottom`` is the pitch class that is lowest at the start (one-hot);
    ``low`` the lowest MIDI number in the atom (999: none). ``fifths`` is the time-weighted spelling (C = 0, G = 1).
    ``entering`` is, per atom, the onsets at its start and whether the lowest of them is the lowest note there.
    """

    time: Floats
    count: Floats
    sounding: Floats
    lowest: Floats
    opening: Floats
    closing: Floats
    bottom: Floats
    low: Ints
    fifths: Floats
    entering: Floats


def evidence_of(score: Score, grid: Grid) -> Evidence:
    """The evidence of the notes of ``score``, graces left out."""
    atoms = len(grid)
    notes = list(score.sounding())
    kinds = _kinds(notes, score.ticks_per_quarter)
    time = np.zeros((atoms, 12, len(CLASSES)))
    count = np.zeros((atoms, 12, len(CLASSES)))
    fifths = np.zeros((atoms, 12))
    spelled = np.zeros((atoms, 12))
    if not notes:
        zero = np.zeros((atoms, 12))
        return Evidence(time, count, zero, zero, zero, zero, zero, np.full(atoms, 999), zero, np.zeros((atoms, 3)))
    edges = grid.edges
    first = np.searchsorted(edges, [n.onset for n in notes], "right") - 1
    last = np.minimum(np.searchsorted(edges, [n.end for n in notes], "left"), atoms)
    bass = _is_bass(notes)
    for index, note in enumerate(notes):
        pc = note.pitch.pitch_class
        start = int(first[index])
        accent = _accented(score, note, grid, start)
        kind = kinds[index] + (0 if accent else 9)
        line = _FIFTHS[note.pitch.step] + 7 * note.pitch.alter
        count[start, pc, kind] += 1
        if bass[index]:
            count[start, pc, 18 if accent else 19] += 1
        for atom in range(start, int(last[index])):
            held = min(note.end, edges[atom + 1]) - max(note.onset, edges[atom])
            beats = held / grid.beat[atom]
            time[atom, pc, kind] += beats
            if bass[index]:
                time[atom, pc, 18 if accent else 19] += beats
            fifths[atom, pc] += line * held
            spelled[atom, pc] += held
    fifths = np.divide(fifths, spelled, out=np.full_like(fifths, np.nan), where=spelled > 0)
    return Evidence(time, count, *_sounding(notes, edges), fifths, _entering(notes, grid))


def _accented(score: Score, note: Note, grid: Grid, atom: int) -> bool:
    """On a beat, or on a division where the beat has none of its own below it."""
    return note.onset == grid.edges[atom] and int(grid.level[atom]) <= 2


def _kinds(notes: list[Note], quarter: int) -> list[int]:
    """For each note the index into ``KINDS``: how it is approached and left within its voice.

    A rest of more than an eighth parts two notes: what lies across it counts as a leap.
    """
    voices: dict[int, list[tuple[int, list[int]]]] = defaultdict(list)
    for index, note in enumerate(notes):
        events = voices[note.voice]
        if events and events[-1][0] == note.onset:
            events[-1][1].append(index)
        else:
            events.append((note.onset, [index]))
    before, after = [2] * len(notes), [2] * len(notes)
    gap = quarter // 2
    for events in voices.values():
        for (_, earlier), (onset, later) in itertools.pairwise(events):
            near = [i for i in earlier if notes[i].end >= onset - gap]
            for i in near:
                after[i] = _motion(min(abs(notes[i].midi - notes[j].midi) for j in later))
            if near:
                for j in later:
                    before[j] = _motion(min(abs(notes[i].midi - notes[j].midi) for i in near))
    return [3 * a + d for a, d in zip(before, after, strict=True)]


def _motion(semitones: int) -> int:
    return 1 if semitones == 0 else 0 if semitones <= 2 else 2


def _is_bass(notes: list[Note]) -> list[bool]:
    """Whether no lower note sounds at the onset of each note."""
    out = []
    held: list[Note] = []
    position = 0
    while position < len(notes):
        onset = notes[position].onset
        stop = position
        while stop < len(notes) and notes[stop].onset == onset:
            stop += 1
        held = [n for n in held if n.end > onset] + notes[position:stop]
        low = min(n.midi for n in held)
        out += [n.midi == low for n in notes[position:stop]]
        position = stop
    return out


def _sounding(notes: list[Note], edges: Ints) -> tuple[Floats, Floats, Floats, Floats, Floats, Ints]:
    atoms = len(edges) - 1
    sounding, lowest = np.zeros((atoms, 12)), np.zeros((atoms, 12))
    opening, closing, bottom = np.zeros((atoms, 12)), np.zeros((atoms, 12)), np.zeros((atoms, 12))
    low = np.full(atoms, 999, dtype=np.int64)
    moments = sorted({n.onset for n in notes} | {n.end for n in notes} | {int(e) for e in edges})
    position = 0
    held: list[Note] = []
    atom = -1
    for start, end in itertools.pairwise(moments):
        held = [n for n in held if n.end > start]
        while position < len(notes) and notes[position].onset <= start:
            if notes[position].end > start:
                held.append(notes[position])
            position += 1
        while atom + 1 < atoms and edges[atom + 1] <= start:
            atom += 1
        if atom < 0 or start >= edges[-1] or not held:
            continue
        bass = min(n.midi for n in held)
        pcs = {n.midi % 12 for n in held}
        lowest[atom, bass % 12] += end - start
        low[atom] = min(low[atom], bass)
        for pc in pcs:
            sounding[atom, pc] += end - start
            if start == edges[atom]:
                opening[atom, pc] = 1
            if end == edges[atom + 1]:
                closing[atom, pc] = 1
        if not bottom[atom].any():
            bottom[atom, bass % 12] = 1
    return sounding, lowest, opening, closing, bottom, low


def _entering(notes: list[Note], grid: Grid) -> Floats:
    """For each atom: onsets at its start, whether the bass is among them, whether the lowest staff is."""
    out = np.zeros((len(grid), 3))
    where = {int(tick): atom for atom, tick in enumerate(grid.edges[:-1])}
    bass = _is_bass(notes)
    bottom = max(n.home_staff for n in notes)
    for index, note in enumerate(notes):
        atom = where.get(note.onset)
        if atom is not None:
            out[atom, 0] += 1
            out[atom, 1] = max(out[atom, 1], float(bass[index]))
            out[atom, 2] = max(out[atom, 2], float(note.home_staff == bottom))
    return out
