"""What the notes say for or against a chord, before any weight is given to it.

Every table is by atom of the grid and pitch class, so that a stretch of atoms is summed by differences of running
sums. A note is told apart by how its voice comes to it and leaves it: one that is passed through by step is weak
evidence, one that is leapt to and left by leap is strong.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.motions import KINDS, kind_of, lowest_at_onset, motions_of
from sitegen.fifths import fifths_of
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
    onset, end, midi = _times_and_numbers(notes)
    first = np.searchsorted(edges, onset, "right") - 1
    pc = midi % 12
    motions = motions_of(notes, quarter)
    before, after = (np.array(away) for away in motions)
    is_bass = np.array(lowest_at_onset(notes))
    home = np.array([n.home_staff for n in notes])
    in_lowest_staff = home == home.max()
    at_start = onset == edges[first]
    accented = at_start & (grid.level[first] <= 2)
    kind = np.array([kind_of(*motion) for motion in zip(*motions, strict=True)])
    kind += np.where(accented, 0, len(KINDS))
    as_bass = BY_MOTION + ~accented
    np.add.at(evidence.count, (first, pc, kind), 1)
    np.add.at(evidence.count, (first[is_bass], pc[is_bass], as_bass[is_bass]), 1)
    beats = np.minimum(1.0, (end - onset) / grid.beat[first])
    for table, away in ((0, after), (2, -before)):
        for step, column in _STEPS.items():
            here = away == step
            pair = len(_STEPS) * pc[here] + column
            np.add.at(evidence.joined, (first[here], table, pair), beats[here])
            np.add.at(evidence.joined, (first[here], table + 1, pair), 1)
    which, atom = _pairs(first, np.minimum(np.searchsorted(edges, end, "left"), len(grid)))
    tone, bass, low = pc[which], is_bass[which], in_lowest_staff[which]
    held = np.minimum(end[which], edges[atom + 1]) - np.maximum(onset[which], edges[atom])
    share = held / grid.beat[atom]
    np.add.at(evidence.time, (atom, tone, kind[which]), share)
    np.add.at(evidence.time, (atom[bass], tone[bass], as_bass[which][bass]), share[bass])
    line = np.array([fifths_of(n.pitch.step) + 7 * n.pitch.alter for n in notes])
    spelled = np.zeros((len(grid), 12))
    np.add.at(evidence.fifths, (atom, tone), line[which] * held)
    np.add.at(spelled, (atom, tone), held)
    evidence.fifths[:] = np.divide(evidence.fifths, spelled, out=np.full_like(spelled, np.nan), where=spelled > 0)
    np.minimum.at(evidence.low_by_tone, (atom, tone), midi[which])
    np.minimum.at(evidence.low_in_staff, (atom[low], tone[low]), midi[which][low])
    struck = np.full(len(grid), NONE)
    np.minimum.at(struck, first[at_start], midi[at_start])
    evidence.struck[np.arange(len(grid)), struck % 12] = struck < NONE
    np.add.at(evidence.entering[:, 0], first[at_start], 1)
    evidence.entering[first[at_start & is_bass], 1] = 1
    evidence.entering[first[at_start & in_lowest_staff], 2] = 1
    evidence.moments[:] = np.bincount(np.searchsorted(edges, np.unique(onset), "right") - 1, minlength=len(grid))


def _sweep(notes: list[Note], grid: Grid, evidence: Evidence) -> None:
    """Fill the tables of what sounds together, moment by moment."""
    edges = grid.edges
    onset, end, midi = _times_and_numbers(notes)
    moments = np.unique(np.concatenate([onset, end, edges]))
    moments = moments[(moments >= edges[0]) & (moments <= edges[-1])]
    start, stop = moments[:-1], moments[1:]
    atom = np.searchsorted(edges, start, "right") - 1
    which, moment = _pairs(np.searchsorted(start, onset), np.searchsorted(start, end))
    sounds = np.zeros((len(start), 12), dtype=np.bool_)
    sounds[moment, midi[which] % 12] = True
    low = np.full(len(start), NONE)
    np.minimum.at(low, moment, midi[which])
    np.minimum.at(evidence.low, atom, low)
    heard = np.flatnonzero(low < NONE)
    np.add.at(evidence.lowest, (atom[heard], low[heard] % 12), (stop - start)[heard])
    opened, place = np.unique(atom[heard], return_index=True)
    evidence.bottom[opened, low[heard[place]] % 12] = 1
    begins, ends = start == edges[atom], stop == edges[atom + 1]
    evidence.opening[atom[begins]] = sounds[begins]
    evidence.closing[atom[ends]] = sounds[ends]
    at, tone = np.nonzero(sounds)
    np.add.at(evidence.sounding, (atom[at], tone), (stop - start)[at])
    np.maximum.at(evidence.last, (atom[at], tone), stop[at])
    evidence.first[atom[at[::-1]], tone[::-1]] = start[at[::-1]]  # of several the earliest is written last


def _times_and_numbers(notes: list[Note]) -> tuple[Ints, Ints, Ints]:
    """Onset, end and MIDI number of each note."""
    table = np.array([(n.onset, n.end, n.midi) for n in notes], dtype=np.int64)
    return table[:, 0], table[:, 1], table[:, 2]


def _pairs(first: Ints, last: Ints) -> tuple[Ints, Ints]:
    """Each note's index with each of the places from its ``first`` up to its ``last``, note by note."""
    count = np.maximum(last - first, 0)
    which = np.repeat(np.arange(len(count)), count)
    return which, np.arange(len(which)) - np.repeat(np.cumsum(count) - count - first, count)
