"""Scores with an analyst's harmonies, as the fitting scripts need them.

Each folder of a piece holds ``score.mxl`` and ``analysis.json``: rows of bar number, onset in quarters, pitch
classes, bass, root, numeral, key.
"""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, KEYS, QUALITIES, Ints
from sitegen.analysis.harmony.evidence import Evidence, evidence_of
from sitegen.analysis.harmony.grid import Grid, grid_of
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN
from sitegen.analysis.harmony.stretches import Stretches, stretches_of
from sitegen.score import Score, read_score
from tests.benchmarks.shared import places_in

LEAST_COVERED = 0.7
FOLDS = 5
_NATURAL = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class Piece:
    """A score ready for fitting: its tables, and the analyst's chord and key of each atom (-1 where unknown).

    ``composer`` is empty where it is not known, or where its pieces may be divided. ``again`` are the chord, key and
    bass that a second analyst hears, where there is one who covers the piece.
    """

    name: str
    composer: str
    grid: Grid
    evidence: Evidence
    stretches: Stretches
    chord: Ints
    key: Ints
    bass: Ints
    again: tuple[Ints, Ints, Ints] | None = None


def key_number(name: str) -> int:
    """``a`` or ``E-`` as 12 * mode + tonic."""
    tonic = _NATURAL[name[0].upper()] + name.count("#") - name[1:].count("-") - name[1:].count("b")
    return 12 * name[0].islower() + tonic % 12


def chord_number(row: list, following: list | None) -> int:
    """The chord of the vocabulary that an analyst's row means: its root, and the quality that shares most tones."""
    _, _, tones, bass, root, numeral, key = row
    if root is None or not tones:
        return -1
    wanted = frozenset((t - root) % 12 for t in tones)

    def likeness(q: int) -> tuple:
        own = frozenset(QUALITIES[q].tones)
        return (len(own & wanted) / len(own | wanted), -len(own ^ wanted), -q)

    best = max(range(len(QUALITIES)), key=likeness)
    name = QUALITIES[best].name
    tonic = KEYS[key_number(key)][1]
    if name in ("major", "minor") and root == tonic and bass == (tonic + 7) % 12:
        dominant = following is not None and following[4] == bass and following[2] != row[2]
        if numeral.startswith("Cad") or dominant:
            best += 2
    return 12 * best + root % 12


def truth_of(score: Score, grid: Grid, rows: list) -> tuple[Ints, Ints, Ints]:
    """The analyst's chord, key and bass of each atom of ``grid``: those that fill most of it."""
    numbers: dict = {}
    # analysts count an upbeat as bar 0, also where the file of the score calls it bar 1
    shift = int(score.bars[0].lead > 0 and score.bars[0].number == "1")
    for bar in score.bars:
        if bar.number.isdigit():
            numbers.setdefault(int(bar.number) - shift, bar)
    spans = []
    for i, row in enumerate(rows):
        bar = numbers.get(row[0])
        if bar is not None:
            tick = bar.onset + min(bar.length - 1, Fraction(row[1]) * score.ticks_per_quarter)
            following = next((r for r in rows[i + 1 :] if r[2] != row[2]), None)
            bass = -1 if row[3] is None else row[3]
            spans.append((tick, (chord_number(row, following), key_number(row[6]), bass)))
    spans.sort(key=lambda s: s[0])
    found = np.full((len(grid), 3), -1)
    edges = [*[s[0] for s in spans[1:]], score.end]
    share = np.zeros(len(grid))
    for (start, labels), end in zip(spans, edges, strict=True):
        low = max(0, int(np.searchsorted(grid.edges, start, "right")) - 1)
        for atom in range(low, len(grid)):
            held = min(end, grid.edges[atom + 1]) - max(start, grid.edges[atom])
            if held <= 0:
                break
            if held > share[atom]:
                share[atom], found[atom] = held, labels
    for atom in range(len(grid)):
        if found[atom, 0] < 0 and atom:
            found[atom] = found[atom - 1]
        chord, key, bass = found[atom]
        if chord < 0:
            continue
        if not KNOWN[key, chord]:
            keys = [k for k in range(24) if KNOWN[k, chord]]
            found[atom, 1] = min(keys, key=lambda k: (_away(k, int(key)), k)) if keys else key
            found[atom, 0] = chord if keys else -1
        if bass < 0 or not INSIDE[bass, chord]:
            found[atom, 2] = CHORDS[chord][1]
    return found[:, 0], found[:, 1], found[:, 2]


def _away(one: int, other: int) -> int:
    own, new = (7 * KEYS[one][1] - 3 * KEYS[one][0]) % 12, (7 * KEYS[other][1] - 3 * KEYS[other][0]) % 12
    return min((own - new) % 12, (new - own) % 12)


def piece_of(name: str, composer: str, score: Score, rows: list) -> Piece:
    """Everything about a piece that fitting needs."""
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    return Piece(name, composer, grid, evidence, stretches_of(score, grid, evidence), *truth_of(score, grid, rows))


def path_of(piece: Piece) -> list[tuple[int, int, int, int]] | None:
    """The analyst's path as (start, stop, key, degree); None if the annotation does not cover the piece."""
    if len(piece.chord) == 0 or (piece.chord < 0).any():
        return None
    path = []
    start = 0
    for atom in range(1, len(piece.grid) + 1):
        done = atom == len(piece.grid)
        same = not done and piece.chord[atom] == piece.chord[start] and piece.key[atom] == piece.key[start]
        if done or piece.grid.joint[atom] or not same:
            chord, key = int(piece.chord[start]), int(piece.key[start])
            path.append((start, atom, key, int(DEGREE_OF[key, chord])))
            start = atom
    return path


def load(folder: Path, prefixes: tuple[str, ...]) -> list[Piece]:
    """The pieces below ``folder`` whose name starts with one of ``prefixes``.

    Left out are those whose analysis does not lie on the score (other bar numbers, another edition): less than
    ``LEAST_COVERED`` of what sounds belongs to the analyst's chords.
    """
    found = []
    for place in places_in(folder, prefixes):
        rows = json.loads((place / "analysis.json").read_text())
        score = read_score(next(place.glob("score.*")))
        piece = piece_of(place.name, score.composer, score, rows)
        if covered(piece) >= LEAST_COVERED:
            found.append(with_second(piece, score, place / "second-analysis.json"))
    return found


def with_second(piece: Piece, score: Score, path: Path) -> Piece:
    """The piece with a second analyst's reading from the file at ``path``, if it is there and lies on the score."""
    if not path.exists():
        return piece
    again = truth_of(score, piece.grid, json.loads(path.read_text()))
    other = reading_of(piece, *again)
    return replace(piece, again=again) if covered(other) >= LEAST_COVERED and path_of(other) else piece


def reading_of(piece: Piece, chord: Ints, key: Ints, bass: Ints) -> Piece:
    """The piece as an analyst hears it who is then the only one."""
    return replace(piece, chord=chord, key=key, bass=bass, again=None)


def readings(piece: Piece) -> list[Piece]:
    """The piece as each of its analysts hears it, whose readings count for one in all. Where both agree it is one."""
    own = reading_of(piece, piece.chord, piece.key, piece.bass)
    return [own] if piece.again is None else [own, reading_of(piece, *piece.again)]


def covered(piece: Piece) -> float:
    """The share of what sounds that belongs to the analyst's chords."""
    known = piece.chord >= 0
    sounding = piece.evidence.sounding[known]
    own = (sounding * INSIDE[:, piece.chord[known]].T).sum()
    return float(own / sounding.sum()) if sounding.any() else 0.0


def fold_of(pieces: list[Piece], divide: bool = False) -> list[int]:
    """A fold for each piece: composers are dealt out, the fullest first, to the emptiest fold.

    If composers are to be divided, works are dealt out in turn: a theme with its variations is one.
    """
    if divide:
        works = sorted({work_of(piece) for piece in pieces})
        return [works.index(work_of(piece)) % FOLDS for piece in pieces]
    folds: dict[str, int] = {}
    by_composer: dict[str, list[str]] = defaultdict(list)
    for piece in sorted(pieces, key=lambda piece: piece.name):
        if piece.composer:
            by_composer[piece.composer].append(piece.name)
        else:
            folds[piece.name] = len(folds) % FOLDS
    size = [0] * FOLDS
    for names in sorted(by_composer.values(), key=lambda names: (-len(names), names)):
        fold = size.index(min(size))
        size[fold] += len(names)
        folds.update(dict.fromkeys(names, fold))
    return [folds[piece.name] for piece in pieces]


def work_of(piece: Piece) -> str:
    """The name of the work that a piece is of: variations on one theme are of one work."""
    return piece.name.rsplit("-", 1)[0] if piece.name.startswith("var") else piece.name
