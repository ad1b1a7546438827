"""Fit the weights of the harmony search to scores with human analyses, by penalised likelihood.

    python -m tests.benchmarks.fit_harmony ../shared/harmony/pieces [--only song wtc1] [--out weights.json]

Each folder of a piece holds ``score.mxl`` and ``analysis.json``: rows of bar number, onset in quarters, pitch
classes, bass, root, numeral, key. Chorales from music21's corpus are added (``chorales.py``). The weights that make the
analysts' reading most likely among all others are found by Adam (Kingma and Ba 2015) on the gradient of the conditional
random field, with a quadratic penalty: first without each fifth of the pieces, to see what is then heard in that fifth
and to weigh the piece's own rhythm by it (``fit_rhythm.py``), then with all pieces and their rhythm. Takes a quarter
of an hour.
"""

from __future__ import annotations

import argparse
import json
from concurrent.futures import ProcessPoolExecutor
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from sitegen.analysis.harmony.bass import bass_named
from sitegen.analysis.harmony.beliefs import norm_of
from sitegen.analysis.harmony.chords import CHORDS, INSIDE, KEYS, QUALITIES, ROLES, WIDTH, Floats
from sitegen.analysis.harmony.finding import last_hearing
from sitegen.analysis.harmony.harmonic_rhythm import rhythm_named
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN, STATES, Lattice, key_features, lattice_of
from sitegen.analysis.harmony.stretches import (
    JOINED,
    OFF_SCALE,
    OUTSIDE,
    TONE_TABLES,
    Stretches,
    gather_roles,
)
from sitegen.analysis.harmony.sums import Paths, backward, forward, weigh
from sitegen.analysis.harmony.weights import (
    SHAPES,
    Fitted,
    Weights,
    collect_keys,
    collect_steps,
    named,
    steps_between,
    zeros,
)  # fmt: skip
from tests.benchmarks.annotated import Piece, fold_of, load, path_of
from tests.benchmarks.chorales import chorales
from tests.benchmarks.fit_bass import fit_bass
from tests.benchmarks.fit_rhythm import Heard, fit_rhythm

EPOCHS, BATCH, RATE = 16, 8, 0.07
PENALTY = 0.25
"""Weight of half the sum of squares."""
MARGIN = 3.0
RARE = {"sixth": "leading", "cadential": "triad"}


def likelihood(
    piece: Piece, weights: Weights, steps: Floats, margin: float = 0.0, added: Floats | float = 0.0
) -> tuple[float, Weights]:
    """Log likelihood of the analyst's path, and its gradient. ``added`` is what else speaks for a change at each atom.

    With a ``margin`` wrong readings are favoured by so much for each wrong beat, so that the right one must win by
    more (softmax margin; Gimpel and Smith, Softmax-margin CRFs, NAACL 2010).
    """
    path = path_of(piece)
    assert path is not None
    lattice = lattice_of(piece.grid, piece.stretches, weights)
    lattice.change[:] += added
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
    """Beats in which a chord of a stretch would be wrong, by half for each of: not the same, tones not shared."""
    shared = INSIDE.T @ INSIDE
    size = INSIDE.sum(axis=0)
    alike = 2 * shared / (size[:, None] + size[None, :])
    cost = 1 - 0.5 * alike - 0.5 * (alike == 1)
    beats = np.diff(piece.grid.edges) / piece.grid.beat
    running = np.concatenate([np.zeros((1, len(CHORDS))), np.cumsum(cost[piece.chord] * beats[:, None], axis=0)])
    return running[piece.stretches.stop] - running[piece.stretches.start]


def _collect(piece: Piece, gradient: Weights, chord: Floats, key: Floats, change: Floats, run_on: Floats) -> None:
    rows = len(chord)
    stretches = piece.stretches
    by_class = np.einsum("apc,ap->c", stretches.foreign, _spread(stretches, chord @ OUTSIDE.T))
    half = len(by_class) // 2
    gradient["foreign beats"] += by_class[:half]
    gradient["foreign onsets"] += by_class[half:]
    by_tone = stretches.tones.reshape(rows, -1).T @ chord
    for position, name in enumerate(TONE_TABLES):
        gradient[name] += gather_roles(by_tone[12 * position : 12 * position + 12])
    gradient["joined"] += np.einsum("ajp,ap->j", stretches.joined, _spread(stretches, chord @ JOINED.T))
    gradient["misspelt"][0] += (chord[stretches.odd] * stretches.misspelt).sum()
    gradient["length"] += np.bincount(stretches.length, chord.sum(axis=1), minlength=SHAPES["length"][0])
    gradient["frame"] += np.bincount(stretches.frame, chord.sum(axis=1), minlength=SHAPES["frame"][0])
    gradient["crowd"] += np.bincount(stretches.crowd, chord.sum(axis=1), minlength=SHAPES["crowd"][0])
    beats, onsets = key_features(stretches)
    gradient["off the scale"] += [(key * (beats @ OFF_SCALE)).sum(), (key * (onsets @ OFF_SCALE)).sum()]
    gradient["signature"][0] += (key * stretches.signature * stretches.beats[:, None]).sum()
    features = piece.stretches.contrasts
    gradient["change at"] += np.bincount(piece.grid.level, change, minlength=SHAPES["change at"][0])
    gradient["change with"] += change @ features
    gradient["over the bar line"] += run_on @ features


def _spread(stretches: Stretches, by_stretch: Floats) -> Floats:
    """The transpose of ``Stretches.summed``: for each atom the sum over the stretches that hold it."""
    out = np.zeros((len(stretches.contrasts) + 1, by_stretch.shape[1]))
    np.add.at(out, stretches.start, by_stretch)
    np.subtract.at(out, stretches.stop, by_stretch)
    return np.cumsum(out, axis=0)[:-1]


def _expected(lattice: Lattice) -> tuple[float, tuple]:
    """The log of the sum over all paths, and the expected counts of what a path is made of."""
    paths = Paths.of(lattice, weigh(lattice))
    to, back = list(forward(paths)), list(backward(paths))[::-1]
    atoms, norm = len(lattice.change), norm_of(to[-1])
    begun, ended = np.stack([one.begun for one in to]), np.stack([one.ended for one in back])
    to_scale, back_scale = np.array([one.scale for one in to]), np.array([one.scale for one in back])
    chord, key = np.zeros_like(lattice.chord), np.zeros_like(lattice.key)
    for low, high in lattice.spans:
        rows = paths.rows(low, high)
        start, stop = lattice.start[rows], lattice.stop[rows]
        weights = paths.by_state(rows)
        weights *= begun[start]
        weights *= ended[stop]
        weights *= np.exp(np.minimum(to_scale[start] + back_scale[stop] - norm, 700))[:, None]
        key[rows] = weights.reshape(-1, 24, WIDTH).sum(axis=2)
        flat = (np.arange(len(start))[:, None] * (len(CHORDS) + 1) + _SPILL[None, :]).ravel()
        counted = np.bincount(flat, weights.ravel(), minlength=len(start) * (len(CHORDS) + 1))
        chord[rows] = counted.reshape(len(start), -1)[:, :-1]
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    inner = slice(1, atoms)
    scale = np.exp(to_scale[inner] + back_scale[inner] - norm)
    moved, ran = np.array(paths.change[inner]) * scale, np.array(paths.run_on[inner]) * scale
    before, heard, onward, begun = (
        np.stack([getattr(one, name) for one in side[inner]]).reshape(-1, 24, WIDTH)
        for side, name in ((to, "ended"), (to, "between"), (back, "between"), (back, "begun"))
    )
    change, run_on = np.zeros(atoms), np.zeros(atoms)
    change[1:] = (heard * onward).sum(axis=(1, 2)) * moved
    run_on[1:] = (heard * begun).sum(axis=(1, 2)) * ran
    weighed = heard * moved[:, None, None]
    stepped = np.stack([
        weighed[:, mode].reshape(-1, WIDTH).T @ begun[:, mode].reshape(-1, WIDTH) * step[m]
        for m, mode in enumerate((slice(0, 12), slice(12, 24)))
    ])  # fmt: skip
    after = by_chord(moved[:, None, None] * onward + ran[:, None, None] * begun)
    heard_as = np.tensordot(by_chord(before), after, axes=([0, 2], [0, 2])) * hear
    opening = (to[0].begun * back[0].begun).reshape(24, WIDTH) * np.exp(to_scale[0] + back_scale[0] - norm)
    norm += paths.level
    return norm, (chord, key, change, run_on, stepped, heard_as, opening)


def by_chord(states: Floats) -> Floats:
    """States (..., 24 keys, degrees) as chords of each key (..., 24 keys, chords; 0 where a key has no such degree)."""
    return np.take_along_axis(states, DEGREE_OF.reshape(*[1] * (states.ndim - 2), 24, len(CHORDS)), axis=-1) * KNOWN


_SPILL = np.where(STATES >= 0, STATES, len(CHORDS)).ravel()


def fit(pieces: list[Piece], added: dict[str, Floats] | None = None, verbose: bool = False) -> Weights:
    """Weights fitted to ``pieces`` by Adam in batches of eight, averaged over the last third of the steps.

    ``added``, by name of the piece, is what else speaks for a change at each atom.
    """
    added = added or {}
    pieces = [p for p in pieces if path_of(p) is not None]
    order = np.random.default_rng(1)
    weights, first, second, mean = zeros(), zeros(), zeros(), zeros()
    batches = -(-len(pieces) // BATCH)
    last = EPOCHS * batches
    averaged = count = 0
    for epoch in range(EPOCHS):
        total = 0.0
        places = order.permutation(len(pieces))
        for batch in range(batches):
            chosen = places[batch::batches]
            gradient = {name: -PENALTY * len(chosen) / len(pieces) * w for name, w in _surplus(weights).items()}
            steps = steps_between(weights)
            for index in chosen:
                piece = pieces[index]
                value, own = likelihood(piece, weights, steps, MARGIN, added.get(piece.name, 0.0))
                total += value
                for name in gradient:
                    gradient[name] += own[name]
            count += 1
            speed = RATE * min(1.0, 2.0 * (1 - (count - 1) / last))
            for name, w in weights.items():
                first[name] = 0.9 * first[name] + 0.1 * gradient[name]
                second[name] = 0.99 * second[name] + 0.01 * gradient[name] ** 2
                w += speed * (first[name] / (1 - 0.9**count)) / (np.sqrt(second[name] / (1 - 0.99**count)) + 1e-6)
            if count > 2 * last / 3:
                averaged += 1
                for name in mean:
                    mean[name] += weights[name]
        if verbose:
            print(f"epoch {epoch + 1} of {EPOCHS}: log likelihood {total:.1f}", flush=True)
    return {name: w / averaged for name, w in mean.items()}


def _surplus(weights: Weights) -> Weights:
    """What the penalty shrinks: weights, but of rare families of chords how far they are from a common family's."""
    out = {name: w.copy() for name, w in weights.items()}
    for name in TONE_TABLES:
        for rare, common in RARE.items():
            for role in "13579":
                row = ROLES.index(f"{rare} {role}")
                out[name][row] -= weights[name][ROLES.index(f"{common} {role}")]
    return out


_shared: list[tuple[Piece, int]] = []


def _share(pieces: list[Piece], folds: list[int]) -> None:
    _shared[:] = zip(pieces, folds, strict=True)


def _fit_without(fold: int) -> Weights:
    return fit([piece for piece, own in _shared if own != fold])


def heard_without(pieces: list[Piece], folds: list[int]) -> list[Heard]:
    """What is heard in the pieces of each fold at first, by weights that are fitted without the fold.

    ``folds`` holds the number of each piece's fold. Pieces whose annotation leaves a gap are left out.
    """
    numbers = sorted(set(folds))
    with ProcessPoolExecutor(initializer=_share, initargs=(pieces, folds), mp_context=get_context("fork")) as pool:
        weights = dict(zip(numbers, pool.map(_fit_without, numbers), strict=True))
    return [
        Heard(piece, lattice_of(piece.grid, piece.stretches, weights[fold]), _changes(path), MARGIN * _cost(piece))
        for piece, fold in zip(pieces, folds, strict=True)
        if (path := path_of(piece)) is not None
    ]


def _changes(path: list[tuple[int, int, int, int]]) -> Floats:
    """1 for each atom at whose start the analyst's chord changes."""
    out = np.zeros(path[-1][1])
    for (_, _, before_key, before), (start, _, key, degree) in pairwise(path):
        chord = int(STATES[before_key, before])
        if not KNOWN[key, chord]:
            chord = _stand_in(chord, key)
        out[start] = DEGREE_OF[key, chord] != degree
    return out


def fit_all(pieces: list[Piece], heard: list[Heard], verbose: bool = False) -> Fitted:
    """Weights of a piece's own rhythm, fitted to what is ``heard`` in ``pieces`` by weights that do not know them; of
    the chords, fitted with that rhythm weighed in; and of the bass line.
    """
    known = {piece.name for piece in pieces}
    heard = [h for h in heard if h.piece.name in known]
    rhythm = fit_rhythm(heard)
    added = {h.piece.name: last_hearing(h.piece.grid, h.lattice, rhythm).change - h.lattice.change for h in heard}
    return Fitted(fit(pieces, added, verbose), rhythm, fit_bass(pieces))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", nargs="*", default=["song", "wtc1"])
    parser.add_argument("--out", type=Path, default=Path("sitegen/analysis/harmony/weights.json"))
    options = parser.parse_args()
    pieces = [*load(options.folder, tuple(options.only)), *chorales()]
    model = fit_all(pieces, heard_without(pieces, fold_of(pieces)), verbose=True)
    data = {
        "fitted on": f"{len(pieces)} pieces: songs with piano and preludes (names that start with"
        f" {', '.join(options.only)}), their analyses from the When in Rome corpus; {len(chorales())} chorales with the"
        " analyses that music21's corpus has",
        "terms": "the analyses are CC BY-SA 4.0, those of the chorales come with music21; only the numbers below were"
        " taken from them",
        "command": f"python -m tests.benchmarks.fit_harmony FOLDER --only {' '.join(options.only)}",
        "chords": named(model.chords),
        "rhythm": rhythm_named(model.rhythm),
        "bass": bass_named(model.bass),
    }
    options.out.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
