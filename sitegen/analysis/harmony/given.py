"""What is known of the harmony before it is searched for: the teacher's chords and keys, atom by atom of the grid.

A chord or a key that is given bars all others in its stretch; the search then weighs the readings that are left, so
that what lies around is heard in its light. A chord that the search does not know is stood for by the one most like it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sitegen.analysis.chords import Spelled, key_of
from sitegen.analysis.harmony.bass_cues import BassTable
from sitegen.analysis.harmony.chords import CHORDS, INSIDE, QUALITIES, Bools, Floats, Ints
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.lattice import KNOWN, Lattice
from sitegen.analysis.readings import KeyReading

_SIZE = INSIDE.sum(axis=0)
_ROOTS = np.array([root for _, root in CHORDS])
_CADENTIAL = np.array([QUALITIES[quality].family == "cadential" for quality, _ in CHORDS])
_SAME_ROOT = 0.5
"""What a root in common counts for likeness, beside the share of tones."""
_HARDLY = -60.0
"""Stands for hardly a chance, as the log weight of a stretch that is not as given: with none at all, a key that has no
chord in common with what was before it could not be reached. What is chosen in the end is as given in any case."""


@dataclass(frozen=True, slots=True)
class GivenChord:
    """A chord from ``onset`` up to ``end`` ticks; ``key`` is the one in which its numeral counts, None for a symbol."""

    onset: int
    end: int
    chord: Spelled
    key: str | None = None


@dataclass(frozen=True, slots=True)
class Given:
    """``chord`` is an index into ``chords`` for each atom, -1 where none is given; ``keys`` are names or None.

    ``barred_chords`` (atoms by chords) and ``barred_keys`` (atoms by keys) are minus infinity for what cannot be, else
    0.
    """

    chords: tuple[GivenChord, ...]
    chord: Ints
    keys: tuple[str | None, ...]
    barred_chords: Floats
    barred_keys: Floats

    def within(self, lattice: Lattice) -> Lattice:
        """The lattice with hardly a chance for what is barred. No stretch of it crosses the edge of what is given."""
        if not self.chords and not any(self.keys):
            return lattice
        return replace(
            lattice,
            chord=lattice.chord + np.maximum(self.barred_chords, _HARDLY)[lattice.start],
            key=lattice.key + np.maximum(self.barred_keys, _HARDLY)[lattice.start],
        )

    def over_its_bass(self, table: BassTable) -> BassTable:
        """The table without other basses than those of the chords given, where they are tones of their chord."""
        allowed = table.allowed.copy()
        for row, place in enumerate(self.chord[table.start].tolist()):
            if place >= 0:
                bass = self.chords[place].chord.bass
                if np.isfinite(allowed[row, bass]):
                    allowed[row, np.arange(12) != bass] = -np.inf
        return replace(table, allowed=allowed)

    def named(self, names: Sequence[str], keys: Ints) -> list[str]:
        """``names``, one for each atom, with those that are given; a run of one key goes by one name."""
        found = list(names)
        start = 0
        for atom in range(1, len(found) + 1):
            if atom < len(found) and keys[atom] == keys[start]:
                continue
            given = next((name for name in self.keys[start:atom] if name), None)
            for place in range(start, atom):
                found[place] = self.keys[place] or given or found[place]
            start = atom
        return found


def edges_of(chords: Sequence[GivenChord], keys: Sequence[KeyReading]) -> frozenset[int]:
    """The ticks at which what is given begins or ends."""
    stretches = [(one.onset, one.end) for one in chords] + [(one.onset, one.end) for one in keys]
    return frozenset(tick for stretch in stretches for tick in stretch)


def given_on(grid: Grid, chords: Sequence[GivenChord], keys: Sequence[KeyReading]) -> Given:
    """What is given for each atom of ``grid``, which has all ``edges_of`` them; of two the later one holds."""
    at = grid.edges[:-1]
    chord = np.full(len(grid), -1, dtype=np.int64)
    names: list[str | None] = [None] * len(grid)
    for place, one in enumerate(chords):
        inside = (at >= one.onset) & (at < one.end)
        chord[inside] = place
        if one.key is not None:
            _call(names, inside, one.key)
    for reading in keys:
        _call(names, (at >= reading.onset) & (at < reading.end), reading.key)
    barred_chords, barred_keys = np.zeros((len(grid), len(CHORDS))), np.zeros((len(grid), 24))
    for atom, name in enumerate(names):
        key = None if name is None else key_number(name)
        if key is not None:
            barred_keys[atom, np.arange(24) != key] = -np.inf
            barred_chords[atom, KNOWN[key] == 0] = -np.inf
        if chord[atom] >= 0:
            alike = _most_like(chords[chord[atom]].chord, key)
            barred_chords[atom, ~alike] = -np.inf
            barred_keys[atom, ~(KNOWN[:, alike] > 0).any(axis=1)] = -np.inf
    return Given(tuple(chords), chord, tuple(names), barred_chords, barred_keys)


def key_number(name: str) -> int:
    """The number in ``KEYS`` of a key such as ``F# minor``."""
    tonic, mode = key_of(name)
    return 12 * (mode == "minor") + tonic * 7 % 12


def _call(names: list[str | None], inside: Bools, name: str) -> None:
    for atom in np.flatnonzero(inside).tolist():
        names[atom] = name


def _most_like(chord: Spelled, key: int | None) -> Bools:
    """Which of ``CHORDS`` are most like ``chord`` of those that ``key`` (any, where it is None) has a degree for."""
    shared = INSIDE[sorted(chord.pitch_classes)].sum(axis=0)
    alike = 2 * shared / (_SIZE + len(chord.pitch_classes)) + _SAME_ROOT * (chord.root == _ROOTS)
    known = KNOWN.any(axis=0) if key is None else KNOWN[key] > 0
    if chord.numeral is not None:
        known &= _CADENTIAL if chord.degree == "Cad" else ~_CADENTIAL
    likeness = np.where(known, alike, -1.0)
    out: Bools = likeness >= likeness.max() - 1e-9
    return out
