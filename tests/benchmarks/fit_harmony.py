"""Fit the weights of the harmony search to scores with human analyses, by penalised likelihood.

    python -m tests.benchmarks.fit_harmony ../shared/harmony/pieces --only song wtc1 --out sitegen/analysis/harmony

Each folder of a piece holds ``score.mxl`` and ``analysis.json``: rows of bar number, onset in quarters, pitch
classes, bass, root, numeral, key. The weights that make the analysts' reading most likely among all others are
found by Adam (Kingma and Ba 2015) on the gradient of the conditional random field, with a quadratic penalty.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, KEYS, QUALITIES, WIDTH, Floats
from sitegen.analysis.harmony.evidence import Evidence, evidence_of
from sitegen.analysis.harmony.grid import Grid, grid_of
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN, STATES, Lattice, key_features, lattice_of
from sitegen.analysis.harmony.stretches import (
    JOINED,
    OFF_SCALE,
    OUTSIDE,
    TONE_TABLES,
    Stretches,
    gather_roles,
    stretches_of,
)
from sitegen.analysis.harmony.sums import backward, by_chord, by_state, forward, weigh
from sitegen.analysis.harmony.weights import SHAPES, Weights, collect_keys, collect_steps, steps_between, zeros
from sitegen.score import Score, read_score

_NATURAL = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class Piece:
    """A score ready for fitting: its tables, and the analyst's chord and key of each atom (-1 where unknown)."""

    name: str
    grid: Grid
    evidence: Evidence
    stretches: Stretches
    chord: np.ndarray
    key: np.ndarray


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


def truth_of(score: Score, grid: Grid, rows: list) -> tuple[np.ndarray, np.ndarray]:
    """The analyst's chord and key of each atom of ``grid``: those that fill most of it."""
    numbers: dict = {}
    for bar in score.bars:
        if bar.number.isdigit():
            numbers.setdefault(int(bar.number), bar)
    spans = []
    for i, row in enumerate(rows):
        bar = numbers.get(row[0])
        if bar is not None:
            tick = bar.onset + min(bar.length - 1, Fraction(row[1]) * score.ticks_per_quarter)
            following = next((r for r in rows[i + 1 :] if r[2] != row[2]), None)
            spans.append((tick, chord_number(row, following), key_number(row[6])))
    spans.sort(key=lambda s: s[0])
    chord, key = np.full(len(grid), -1), np.full(len(grid), -1)
    edges = [*[s[0] for s in spans[1:]], score.end]
    share = np.zeros(len(grid))
    for (start, c, k), end in zip(spans, edges, strict=True):
        low = max(0, int(np.searchsorted(grid.edges, start, "right")) - 1)
        for atom in range(low, len(grid)):
            held = min(end, grid.edges[atom + 1]) - max(start, grid.edges[atom])
            if held <= 0:
                break
            if held > share[atom]:
                share[atom], chord[atom], key[atom] = held, c, k
    for atom in range(len(grid)):
        if chord[atom] < 0 and atom:
            chord[atom], key[atom] = chord[atom - 1], key[atom - 1]
        if chord[atom] >= 0 and not KNOWN[key[atom], chord[atom]]:
            keys = [k for k in range(24) if KNOWN[k, chord[atom]]]
            key[atom] = min(keys, key=lambda k: (_away(k, int(key[atom])), k)) if keys else key[atom]
            if not keys:
                chord[atom] = -1
    return chord, key


def _away(one: int, other: int) -> int:
    own, new = (7 * KEYS[one][1] - 3 * KEYS[one][0]) % 12, (7 * KEYS[other][1] - 3 * KEYS[other][0]) % 12
    return min((own - new) % 12, (new - own) % 12)


def piece_of(name: str, score: Score, rows: list) -> Piece:
    """Everything about a piece that fitting needs."""
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    return Piece(name, grid, evidence, stretches_of(score, grid, evidence), *truth_of(score, grid, rows))


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


def likelihood(piece: Piece, weights: Weights, steps: Floats, margin: float = 0.0) -> tuple[float, Weights]:
    """Log likelihood of the analyst's path, and its gradient."""
    path = path_of(piece)
    assert path is not None
    lattice = lattice_of(piece.grid, piece.stretches, weights)
    if margin:
        lattice.chord[:] += margin * _cost(piece)
    gradient = zeros()
    row_of = {(int(a), int(b)): r for r, (a, b) in enumerate(zip(lattice.start, lattice.stop, strict=True))}
    chord, key = np.zeros_like(lattice.chord), np.zeros_like(lattice.key)
    change, run_on = np.zeros(len(piece.grid)), np.zeros(len(piece.grid))
    stepped, heard_as = np.zeros((2, WIDTH, WIDTH)), np.zeros((24, 24))
    total = 0.0
    for position, (start, stop, k, d) in enumerate(path):
        row = row_of[start, stop]
        c = int(STATES[k, d])
        chord[row, c] += 1
        key[row, k] += 1
        total += lattice.chord[row, c] + lattice.key[row, k]
        if position == 0:
            gradient["degree"][k // 12, d] += 1
            gradient["signature"][1] += piece.stretches.signature[0][k]
            total += lattice.opening[k, d]
            continue
        _, _, before_key, before = path[position - 1]
        before_chord = int(STATES[before_key, before])
        if before_key != k:
            if not KNOWN[k, before_chord]:
                before_chord = _stand_in(before_chord, k)
            heard_as[before_key, k] += 1
            total += lattice.key_steps[before_key, k]
            before = int(DEGREE_OF[k, before_chord])
        if before == d:
            if piece.grid.joint[start]:
                run_on[start] += 1
                total += lattice.run_on[start]
        else:
            change[start] += 1
            stepped[k // 12, before, d] += 1
            total += lattice.change[start] + steps[k // 12, before, d]
    norm, expected = _expected(lattice)
    chord -= expected[0]
    key -= expected[1]
    change -= expected[2]
    run_on -= expected[3]
    stepped -= expected[4]
    heard_as -= expected[5]
    gradient["degree"] -= expected[6].reshape(2, 12, WIDTH).sum(axis=1)
    gradient["signature"][1] -= (expected[6].sum(axis=1) * piece.stretches.signature[0]).sum()
    _collect(piece, gradient, chord, key, change, run_on)
    collect_steps(gradient, stepped)
    collect_keys(gradient, heard_as)
    return total - norm, gradient


def _stand_in(chord: int, key: int) -> int:
    """A chord of ``key`` on the same root, or its tonic, for one that the key does not know."""
    same = [q * 12 + chord % 12 for q in range(len(QUALITIES)) if KNOWN[key, q * 12 + chord % 12]]
    mode, tonic = KEYS[key]
    return same[0] if same else 12 * mode + tonic


def _cost(piece: Piece) -> Floats:
    inside = np.array([[((pc - r) % 12 in QUALITIES[q].tones) for pc in range(12)] for q, r in CHORDS], float)
    shared = inside @ inside.T
    size = inside.sum(axis=1)
    alike = 2 * shared / (size[:, None] + size[None, :])
    cost = 1 - 0.5 * alike - 0.5 * (alike == 1)
    beats = np.diff(piece.grid.edges) / piece.grid.beat
    running = np.concatenate([np.zeros((1, len(CHORDS))), np.cumsum(cost[piece.chord] * beats[:, None], axis=0)])
    return running[piece.stretches.stop] - running[piece.stretches.start]


def _collect(piece: Piece, gradient: Weights, chord: Floats, key: Floats, change: Floats, run_on: Floats) -> None:
    rows = len(chord)
    stretches = piece.stretches
    by_class = np.einsum("spc,sp->c", stretches.foreign, chord @ OUTSIDE.T)
    half = len(by_class) // 2
    gradient["foreign beats"] += by_class[:half]
    gradient["foreign onsets"] += by_class[half:]
    by_tone = stretches.tones.reshape(rows, -1).T @ chord
    for position, name in enumerate(TONE_TABLES):
        gradient[name] += gather_roles(by_tone[12 * position : 12 * position + 12])
    gradient["joined"] += np.einsum("sjp,sp->j", stretches.joined, chord @ JOINED.T)
    gradient["misspelt"][0] += (chord * stretches.misspelt).sum()
    gradient["length"] += np.bincount(stretches.length, chord.sum(axis=1), minlength=SHAPES["length"][0])
    gradient["crowd"] += np.bincount(stretches.crowd, chord.sum(axis=1), minlength=SHAPES["crowd"][0])
    beats, onsets = key_features(stretches)
    gradient["off the scale"] += [(key * (beats @ OFF_SCALE)).sum(), (key * (onsets @ OFF_SCALE)).sum()]
    gradient["signature"][0] += (key * stretches.signature * stretches.beats[:, None]).sum()
    features = piece.stretches.contrasts
    gradient["change at"] += np.bincount(piece.grid.level, change, minlength=SHAPES["change at"][0])
    gradient["change with"] += change @ features
    gradient["over the bar line"] += run_on @ features


def _expected(lattice: Lattice) -> tuple[float, tuple]:
    """The log of the sum over all paths, and the expected counts of what a path is made of."""
    to, back = forward(lattice), backward(lattice)
    atoms = len(lattice.change)
    norm = float(np.log(to.ended[atoms].sum()) + to.ended_scale[atoms])
    chord, key = np.zeros_like(lattice.chord), np.zeros_like(lattice.key)
    for low, high in lattice.spans:
        rows = slice(lattice.first[low + 1], lattice.first[high + 1])
        weights, peaks = weigh(lattice, rows)
        start, stop = lattice.start[rows], lattice.stop[rows]
        weights *= to.begun[start]
        weights *= back.ended[stop]
        scale = to.begun_scale[start] + back.ended_scale[stop] + peaks - norm
        weights *= np.exp(np.minimum(scale, 700))[:, None, None]
        key[rows] = weights.sum(axis=2)
        flat = (np.arange(len(start))[:, None] * (len(CHORDS) + 1) + _SPILL[None, :]).ravel()
        counted = np.bincount(flat, weights.ravel(), minlength=len(start) * (len(CHORDS) + 1))
        chord[rows] = counted.reshape(len(start), -1)[:, :-1]
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    ended, begun = to.ended[1:atoms], back.begun[1:atoms]
    scale = to.ended_scale[1:atoms] + back.begun_scale[1:atoms] - norm
    moved, ran = np.exp(lattice.change[1:] + scale), np.exp(lattice.run_on[1:] + scale)
    before = by_chord(ended)
    heard = ended + by_state(hear.T @ before)
    onward = np.concatenate([begun[:, :12] @ step[0].T, begun[:, 12:] @ step[1].T], axis=1)
    change, run_on = np.zeros(atoms), np.zeros(atoms)
    change[1:] = (heard * onward).sum(axis=(1, 2)) * moved
    run_on[1:] = (heard * begun).sum(axis=(1, 2)) * ran
    weighed = heard * moved[:, None, None]
    stepped = np.stack([
        weighed[:, mode].reshape(-1, WIDTH).T @ begun[:, mode].reshape(-1, WIDTH) * step[m]
        for m, mode in enumerate((slice(0, 12), slice(12, 24)))
    ])  # fmt: skip
    after = by_chord(moved[:, None, None] * onward + ran[:, None, None] * begun)
    heard_as = np.tensordot(before, after, axes=([0, 2], [0, 2])) * hear
    opening = to.begun[0] * back.begun[0] * np.exp(to.begun_scale[0] + back.begun_scale[0] - norm)
    return norm, (chord, key, change, run_on, stepped, heard_as, opening)


_SPILL = np.where(STATES >= 0, STATES, len(CHORDS)).ravel()


def fit(
    pieces: list[Piece], epochs: int = 12, penalty: float = 0.02, margin: float = 0.0, rate: float = 0.05,
    verbose: bool = False, start: Weights | None = None,
) -> Weights:  # fmt: skip
    """Weights fitted to ``pieces`` by Adam in batches of eight, averaged over the last third of the steps."""
    pieces = [p for p in pieces if path_of(p) is not None]
    weights = start or zeros()
    weights = {n: w.copy() for n, w in weights.items()}
    order = np.random.default_rng(1)
    first, second = zeros(), zeros()
    mean, averaged, count = zeros(), 0, 0
    batches = -(-len(pieces) // 8)
    for epoch in range(epochs):
        total = 0.0
        places = order.permutation(len(pieces))
        for batch in range(batches):
            chosen = places[batch::batches]
            gradient = {name: -penalty * len(chosen) / len(pieces) * 50 * w for name, w in weights.items()}
            steps = steps_between(weights)
            for index in chosen:
                value, own = likelihood(pieces[index], weights, steps, margin)
                total += value
                for name in gradient:
                    gradient[name] += own[name]
            count += 1
            speed = rate * min(1.0, 2.0 * (1 - (count - 1) / (epochs * batches)))
            for name, w in weights.items():
                first[name] = 0.9 * first[name] + 0.1 * gradient[name]
                second[name] = 0.99 * second[name] + 0.01 * gradient[name] ** 2
                w += speed * (first[name] / (1 - 0.9**count)) / (np.sqrt(second[name] / (1 - 0.99**count)) + 1e-6)
            if count > epochs * batches * 2 / 3:
                averaged += 1
                for name in mean:
                    mean[name] += weights[name]
        if verbose:
            print(f"epoch {epoch + 1}: log likelihood {total:.1f}", flush=True)
    return {name: w / averaged for name, w in mean.items()}


def load(folder: Path, prefixes: tuple[str, ...]) -> list[Piece]:
    """The pieces below ``folder`` whose name starts with one of ``prefixes``."""
    found = []
    for place in sorted(folder.iterdir()):
        if place.name.startswith(prefixes):
            rows = json.loads((place / "analysis.json").read_text())
            found.append(piece_of(place.name, read_score(place / "score.mxl"), rows))
    return found
