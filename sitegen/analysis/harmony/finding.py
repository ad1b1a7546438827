"""Find the harmonies of a score: which chord sounds when, over which bass, in which key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.bass import bass_line
from sitegen.analysis.harmony.bass_cues import bass_table
from sitegen.analysis.harmony.beliefs import Beliefs, beliefs_of, changes_of
from sitegen.analysis.harmony.choosing import choose_chords, choose_keys
from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.doubts import doubtful
from sitegen.analysis.harmony.evidence import Evidence, evidence_of
from sitegen.analysis.harmony.explaining import degree_of, explain, key_names, tones_of
from sitegen.analysis.harmony.given import Given, GivenChord, edges_of, given_on
from sitegen.analysis.harmony.grid import Grid, grid_of
from sitegen.analysis.harmony.harmonic_rhythm import RhythmWeights, habits_of
from sitegen.analysis.harmony.lattice import Lattice, lattice_of, softened
from sitegen.analysis.harmony.stretches import stretches_of
from sitegen.analysis.harmony.sums import weigh
from sitegen.analysis.harmony.weights import Fitted, fitted
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.readings import KeyReading
from sitegen.analysis.reasons import TEACHERS_READING, because
from sitegen.score import Score

HEARINGS = 3
"""A fourth changes next to nothing that can be measured."""


SURENESS = 0.85
"""The weights are fitted to win by a margin, which makes the readings surer than they are often right."""


def find_harmonies(
    score: Score, chords: Sequence[GivenChord] = (), keys: Sequence[KeyReading] = ()
) -> tuple[Harmony, ...]:
    """The harmonies of ``score`` in order, covering it from 0 to ``score.end`` without gap or overlap.

    ``chords`` and ``keys`` are known beforehand, and all else is heard in their light; a chord given is a harmony of
    its own, with the name that it was given.

    Where nothing sounds the chord before goes on. Where nothing has sounded yet, and where the notes fit no chord
    well enough, ``pitch_classes`` is empty, the rest is None, and ``reasons`` say so. A harmony ends where the chord,
    its bass or its key changes. A score without bars has none.
    """
    return hear(score, fitted(), chords, keys)


def hear(
    score: Score, model: Fitted, known_chords: Sequence[GivenChord] = (), known_keys: Sequence[KeyReading] = ()
) -> tuple[Harmony, ...]:
    """``find_harmonies`` with the weights given."""
    if score.end <= 0:
        return ()
    grid = grid_of(score, edges_of(known_chords, known_keys))
    given = given_on(grid, known_chords, known_keys)
    evidence = evidence_of(score, grid)
    if not evidence.sounding.any() and not known_chords:
        return (Harmony(0, score.end, reasons=(because("nothing sounds"),)),)
    stretches = stretches_of(score, grid, evidence)
    first = given.within(lattice_of(grid, stretches, model.chords, model.mixtures))
    lattice = last_hearing(grid, first, model.rhythm)
    beliefs = beliefs_of(softened(lattice, SURENESS))
    beats = np.diff(grid.edges) / grid.beat
    chords = choose_chords(beliefs, beats, given.barred_chords)
    keys = choose_keys(beliefs, chords, beats, given.barred_keys)
    table = given.over_its_bass(bass_table(grid, evidence, stretches.contrasts, chords))
    bass = bass_line(table, model.bass)
    doubts = doubtful(grid, evidence, beliefs, chords)
    return tuple(_harmonies(score, grid, evidence, beliefs, chords, bass, keys, doubts, given))


def last_hearing(grid: Grid, first: Lattice, rhythm: RhythmWeights) -> Lattice:
    """The lattice of the last of ``HEARINGS``, each of which knows the piece's harmonic rhythm from the one before."""
    last, weighed = first, weigh(first)
    for _ in range(HEARINGS - 1):
        change, _ = changes_of(last, weighed)
        habits = habits_of(grid, change, rhythm.usual)
        last = replace(first, change=first.change + habits @ rhythm.habits)
    return last


def _harmonies(
    score: Score, grid: Grid, evidence: Evidence, beliefs: Beliefs, chords: Ints, bass: Ints, keys: Ints,
    doubts: Floats, given: Given,
) -> list[Harmony]:  # fmt: skip
    silent = np.cumsum(evidence.sounding.sum(axis=1)) == 0
    tonal = np.array([name is not None for name in given.keys], dtype=np.bool_)
    labels = np.stack([chords, bass, keys, given.chord], axis=1)
    labels[silent] = -1
    labels[~silent & (doubts > 0) & ~tonal] = -2
    said = given.chord >= 0
    labels[said] = np.stack([np.zeros_like(keys), np.zeros_like(keys), keys, given.chord], axis=1)[said]
    names = given.named(key_names(score, grid, evidence, keys), keys)
    changes = [0, *(np.flatnonzero((labels[1:] != labels[:-1]).any(axis=1)) + 1).tolist(), len(grid)]
    found = []
    for start, stop in pairwise(changes):
        onset, duration = int(grid.edges[start]), int(grid.edges[stop] - grid.edges[start])
        chord, low, key, place = (int(value) for value in labels[start])
        if chord < 0:
            why = because("nothing yet" if chord == -1 else "no chord fits")
            found.append(Harmony(onset, duration, reasons=(why,)))
            continue
        if place >= 0:
            degree = degree_of(key, int(chords[start]))
            found.append(_as_said(given.chords[place], onset, duration, names[start], degree))
            continue
        root, tones = tones_of(chord)
        found.append(
            Harmony(
                onset, duration, tones, low, root, names[start], degree=degree_of(key, chord),
                reasons=explain(evidence, beliefs, chord, low, start, stop),
            )
        )  # fmt: skip
    return found


def _as_said(given: GivenChord, onset: int, duration: int, key: str, degree: str) -> Harmony:
    """The harmony that was given: with its own name, and ``degree`` where that does not tell one."""
    chord = given.chord
    numeral = chord.numeral if given.key == key else None
    return Harmony(
        onset, duration, chord.pitch_classes, chord.bass, chord.root, key, numeral, chord.symbol, TEACHERS_READING,
        (chord.degree if numeral is not None else "") or degree,
    )  # fmt: skip
