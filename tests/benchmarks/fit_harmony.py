"""Fit the weights of the harmony search to scores with human analyses, by penalised likelihood.

    python -m tests.benchmarks.fit_harmony ../shared/harmony/pieces [--only song wtc1 var] [--out FOLDER]
        [--begin weights.json]

Each folder of a piece holds a score and ``analysis.json``: rows of bar number, onset in quarters, pitch classes, bass,
root, numeral, key; ``second-analysis.json`` beside it is what another analyst hears. Chorales from music21's corpus are
added (``chorales.py``). The weights that make the analysts' reading most likely among all others are found by Adam
(Kingma and Ba 2015) on the gradient of the conditional random field, with a quadratic penalty: first each cue by itself
on songs, preludes and chorales, without each fifth of them and with all. What is then heard in the fifth that was left
out tells how a piece's own rhythm weighs (``fit_rhythm.py``). With that rhythm the fitting goes on with variations and
mixtures. Half an hour of one processor.

With ``--begin`` it goes on from weights of songs, preludes and chorales that were fitted before, whose rhythm and bass
line are kept; a few minutes.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path
from typing import TypeVar

import numpy as np

from sitegen.analysis.harmony.bass import bass_from_named, bass_named
from sitegen.analysis.harmony.chords import CHORDS, INSIDE, KEYS, QUALITIES, ROLES, WIDTH, Floats
from sitegen.analysis.harmony.finding import last_hearing
from sitegen.analysis.harmony.grid import LEVELS
from sitegen.analysis.harmony.harmonic_rhythm import rhythm_from_named, rhythm_named
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN, STATES, Lattice, key_features, lattice_of
from sitegen.analysis.harmony.mixtures import (
    CUES,
    TABLES,
    Mixtures,
    by_chord,
    cues_of,
    gathered_from_roots,
    mixtures_named,
    spread_over_roots,
    sums_above_nothing,
)
from sitegen.analysis.harmony.stretches import (
    CROWD_NAMES,
    JOINED,
    LENGTH_NAMES,
    OFF_SCALE,
    OUTSIDE,
    TONE_TABLES,
    Stretches,
    gather_roles,
)
from sitegen.analysis.harmony.weights import (  # fmt: skip
    SHAPES,
    Fitted,
    collect_keys,
    collect_steps,
    from_named,
    named,
    steps_between,
    zeros,
)
from tests.benchmarks.annotated import Piece, fold_of, load, path_of, readings
from tests.benchmarks.chorales import chorales
from tests.benchmarks.expected import Counts, expected
from tests.benchmarks.fit_bass import fit_bass
from tests.benchmarks.fit_rhythm import Heard, fit_rhythm

EPOCHS, BATCH, RATE = 16, 8, 0.07
EPOCHS_ON, RATE_ON = 8, 0.03
EPOCHS_KEPT, RATE_KEPT, MIXTURE_RATE_KEPT = 3, 0.02, 0.002
"""Where weights that were fitted before are begun with: at first all are fitted on, then all but those of ``KEPT``."""
KEPT = ("degree", "signature", "function", "step", "root moves by", "key change", "relation")
"""What is as it was begun with in the end: which chords and keys follow each other. Left free, a dominant seventh that
mixtures speak for was paid for by its degree alone, so that keys were taken for their subdominants, whose applied
dominants cost nothing; and variations have the signature of their key without fail, as a file from anywhere has not."""
PENALTY, MIXTURE_PENALTY = 0.25, 2.0
"""Weights of half the sums of squares."""
MIXTURES, MIXTURE_RATE, SPREAD = 24, 0.004, 0.15
"""How many mixtures of cues there are, how quickly they learn, and how far apart they begin."""
GRAIN = ("length", "crowd", "change at")
COLLECTIONS = ("var", "wtc1", "riemenschneider")
"""Analysts differ in grain: some mark every change, some often one chord a bar. Those of each of these collections are
fitted with an addition of their own to the weights of ``GRAIN``, which is left out of what is kept: that is the grain
of the songs' analysts, who mark every change."""
BEGINNING = ("song", "wtc1", "riemenschneider")
"""What the fitting begins with: songs, preludes and chorales, whose one analyst marks every chord."""
EVERY = 3
"""So many pieces for each one whose rhythm is counted: it tells fifteen numbers."""
MARGIN = 3.0
Parameters = dict[str, Floats]
"""All that is fitted, by table: weights, mixtures ("mixed ..."), and what the grain of a collection adds to weights."""
RARE = {"sixth": "leading", "cadential": "triad"}


def likelihood(
    piece: Piece, model: Parameters, steps: Floats, by_root: Floats, margin: float = 0.0, added: Floats | float = 0.0
) -> tuple[float, Parameters]:
    """Log likelihood of the analysts' paths, and its gradient. ``added`` is what else speaks for a change at each atom.

    With a ``margin`` wrong readings are favoured by so much for each wrong beat, so that the right one must win by
    more (softmax margin; Gimpel and Smith, Softmax-margin CRFs, NAACL 2010). Of two analysts each counts for half.
    """
    heard = [(reading, path) for reading in readings(piece) if (path := path_of(reading)) is not None]
    weights, mixtures = {name: model[name] for name in SHAPES}, mixtures_in(model)
    stretches = piece.stretches
    lattice = lattice_of(piece.grid, stretches, weights, NO_MIXTURES)
    if len(mixtures):
        sums = sums_above_nothing(stretches, mixtures, by_root, slice(None))
        lattice.chord[:] += by_chord(sums, mixtures)
    lattice.change[:] += added
    own = _grain_of(piece)
    if own:
        lattice.chord[:] += (model[f"{own} length"][stretches.length] + model[f"{own} crowd"][stretches.crowd])[:, None]
        lattice.change[:] += model[f"{own} change at"][piece.grid.level]
    if margin:
        lattice.chord[:] += margin / len(heard) * sum(_cost(reading) for reading, _ in heard)
    norm, counts = expected(lattice)
    total = -norm
    gradient = {name: np.zeros_like(table) for name, table in model.items()}
    counted = Counts(*(-table for table in counts))
    for reading, path in heard:
        total += _count(reading, path, lattice, steps, counted, 1 / len(heard))
    chord, key, change, run_on, stepped, heard_as, opening = counted
    gradient["degree"] += opening.reshape(2, 12, WIDTH).sum(axis=1)
    gradient["signature"][1] += (opening.sum(axis=1) * stretches.signature[0]).sum()
    _collect(piece, gradient, chord, key, change, run_on)
    if len(mixtures):
        _collect_mixtures(stretches, mixtures, sums, gradient, chord)
    if own:
        gradient[f"{own} length"] += np.bincount(stretches.length, chord.sum(axis=1), minlength=SHAPES["length"][0])
        gradient[f"{own} crowd"] += np.bincount(stretches.crowd, chord.sum(axis=1), minlength=SHAPES["crowd"][0])
        gradient[f"{own} change at"] += gradient["change at"]
    collect_steps(gradient, stepped)
    collect_keys(gradient, heard_as)
    return total, gradient


def _count(
    piece: Piece, path: list[tuple[int, int, int, int]], lattice: Lattice, steps: Floats, counted: Counts, part: float
) -> float:
    """Add ``part`` for each thing that a path is made of to ``counted``; its log score times ``part``."""
    chord, key, change, run_on, stepped, heard_as, opening = counted
    row_of = {(int(a), int(b)): r for r, (a, b) in enumerate(zip(lattice.start, lattice.stop, strict=True))}
    total = 0.0
    for position, (start, stop, k, d) in enumerate(path):
        row = row_of[start, stop]
        c = int(STATES[k, d])
        chord[row, c] += part
        key[row, k] += part
        total += lattice.chord[row, c] + lattice.key[row, k]
        if position == 0:
            opening[k, d] += part
            total += lattice.opening[k, d]
            continue
        _, _, before_key, before = path[position - 1]
        before_chord = int(STATES[before_key, before])
        if before_key != k:
            if not KNOWN[k, before_chord]:
                before_chord = _stand_in(before_chord, k)
            heard_as[before_key, k] += part
            total += lattice.key_steps[before_key, k]
            before = int(DEGREE_OF[k, before_chord])
        if before == d:
            if piece.grid.joint[start]:
                run_on[start] += part
                total += lattice.run_on[start]
        else:
            change[start] += part
            stepped[k // 12, before, d] += part
            total += lattice.change[start] + steps[k // 12, before, d]
    return part * total


def _grain_of(piece: Piece) -> str:
    """The collection that a piece's analysts are of, where they may have a grain of their own; else empty."""
    return next((name for name in COLLECTIONS if piece.name.startswith(name)), "")


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


def _collect_mixtures(
    stretches: Stretches, mixtures: Mixtures, sums: Floats, gradient: Parameters, chord: Floats
) -> None:
    """What counts of stretches by chord mean for the mixtures, whose ``sums`` are given."""
    spoken = chord.reshape(len(chord), len(QUALITIES), 12).transpose(0, 2, 1).reshape(-1, len(QUALITIES))
    gradient["mixed speaks"] += sums.reshape(-1, len(mixtures)).T @ spoken
    own = (spoken @ mixtures.speaks.T).reshape(sums.shape) * (sums > 0)
    gradient["mixed cues"] += gathered_from_roots(cues_of(stretches, slice(None)).T @ own.reshape(len(own), -1))
    by_stretch = own.sum(axis=1)
    starts, stops = np.divmod(stretches.frame, len(LEVELS))
    places = {"length": stretches.length, "crowd": stretches.crowd, "starts": starts, "stops": stops}
    for name, place in places.items():
        np.add.at(gradient[f"mixed {name}"], place, by_stretch)
    gradient["mixed always"] += by_stretch.sum(axis=0)


def _collect(piece: Piece, gradient: Parameters, chord: Floats, key: Floats, change: Floats, run_on: Floats) -> None:
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


def first_parameters() -> Parameters:
    """Where fitting begins, each cue by itself: weights that prefer nothing."""
    return zeros() | {f"{own} {name}": np.zeros(SHAPES[name]) for own in COLLECTIONS for name in GRAIN}


def first_mixtures(number: int = MIXTURES) -> Parameters:
    """Where fitting together begins: mixtures that speak for nothing yet."""
    sizes = {"length": len(LENGTH_NAMES), "crowd": len(CROWD_NAMES), "starts": len(LEVELS), "stops": len(LEVELS)}
    return {
        "mixed cues": np.random.default_rng(0).normal(size=(len(CUES), 12, number)) * SPREAD,
        **{f"mixed {name}": np.zeros((size, number)) for name, size in sizes.items()},
        "mixed always": np.zeros(number),
        "mixed speaks": np.zeros((number, len(QUALITIES))),
    }


def mixtures_in(model: Parameters) -> Mixtures:
    """The mixtures among all that is fitted; none where each cue is fitted by itself."""
    return Mixtures(*(model[f"mixed {name}"] for name in TABLES)) if "mixed cues" in model else NO_MIXTURES


NO_MIXTURES = mixtures_in(first_mixtures(0))


def fit(
    pieces: list[Piece],
    added: dict[str, Floats] | None = None,
    verbose: bool = False,
    begun: Parameters | None = None,
    kept: tuple[str, ...] = (),
) -> Parameters:
    """All that is fitted to ``pieces`` by Adam in batches of eight, averaged over the last third of the steps.

    ``added``, by name of the piece, is what else speaks for a change at each atom; ``begun`` is what was fitted before,
    to which mixtures are added, and of which the tables ``kept`` are not fitted on. With nothing begun each cue is
    fitted by itself.
    """
    added = added or {}
    pieces = [p for p in pieces if any(path_of(reading) is not None for reading in readings(p))]
    order = np.random.default_rng(1)
    model = first_parameters()
    if begun:
        model |= first_mixtures() | {name: table.copy() for name, table in begun.items()}
    epochs, own_rate, mixture_rate = (
        (EPOCHS_KEPT, RATE_KEPT, MIXTURE_RATE_KEPT) if kept
        else (EPOCHS_ON, RATE_ON, MIXTURE_RATE) if begun
        else (EPOCHS, RATE, MIXTURE_RATE)
    )  # fmt: skip
    first, second, mean = ({name: np.zeros_like(table) for name, table in model.items()} for _ in range(3))
    batches = -(-len(pieces) // BATCH)
    last = epochs * batches
    averaged = count = 0
    for epoch in range(epochs):
        total = 0.0
        places = order.permutation(len(pieces))
        for batch in range(batches):
            chosen = places[batch::batches]
            gradient = {name: -penalty(name) * len(chosen) / len(pieces) * w for name, w in _surplus(model).items()}
            steps, by_root = steps_between(model), spread_over_roots(mixtures_in(model).cues)
            for index in chosen:
                piece = pieces[index]
                value, own = likelihood(piece, model, steps, by_root, MARGIN, added.get(piece.name, 0.0))
                total += value
                for name in gradient:
                    gradient[name] += own[name]
            for name in kept:
                gradient[name][:] = 0
            count += 1
            slowing = min(1.0, 2.0 * (1 - (count - 1) / last))
            for name, w in model.items():
                first[name] = 0.9 * first[name] + 0.1 * gradient[name]
                second[name] = 0.99 * second[name] + 0.01 * gradient[name] ** 2
                rate = slowing * (mixture_rate if name.startswith("mixed") else own_rate)
                w += rate * (first[name] / (1 - 0.9**count)) / (np.sqrt(second[name] / (1 - 0.99**count)) + 1e-6)
            if count > 2 * last / 3:
                averaged += 1
                for name in mean:
                    mean[name] += model[name]
        if verbose:
            print(f"epoch {epoch + 1} of {epochs}: log likelihood {total:.1f}", flush=True)
    return {name: w / averaged for name, w in mean.items()}


def penalty(name: str) -> float:
    """Weight of half the sum of squares of a table."""
    return MIXTURE_PENALTY if name.startswith("mixed") else PENALTY


def _surplus(weights: Parameters) -> Parameters:
    """What the penalty shrinks: weights, but of rare families of chords how far they are from a common family's."""
    out = {name: w.copy() for name, w in weights.items()}
    for name in TONE_TABLES:
        for rare, common in RARE.items():
            for role in "13579":
                row = ROLES.index(f"{rare} {role}")
                out[name][row] -= weights[name][ROLES.index(f"{common} {role}")]
    return out


_Found = TypeVar("_Found")
_shared: list[tuple[Piece, int]] = []
_begun: dict[int, Parameters] = {}


def _share(pieces: list[Piece], folds: list[int], begun: dict[int, Parameters]) -> None:
    _shared[:] = zip(pieces, folds, strict=True)
    _begun.clear()
    _begun.update(begun)


def _by_fold(
    work: Callable[[int], _Found], pieces: list[Piece], folds: list[int], begun: dict[int, Parameters]
) -> dict[int, _Found]:
    """``work`` done for the number of each fold, on several processors."""
    numbers, shared = sorted(set(folds)), (pieces, folds, begun)
    with ProcessPoolExecutor(initializer=_share, initargs=shared, mp_context=get_context("fork")) as pool:
        return dict(zip(numbers, pool.map(work, numbers), strict=True))


def begin_without(pieces: list[Piece], folds: list[int]) -> dict[int, Parameters]:
    """By fold the weights, each cue by itself, that are fitted to the pieces of ``BEGINNING`` that are not in it."""
    return _by_fold(_begin_without, pieces, folds, {})


def _begin_without(fold: int) -> Parameters:
    return fit(_beginning([piece for piece, own in _shared if own != fold]))


def _beginning(pieces: list[Piece]) -> list[Piece]:
    return [piece for piece in pieces if piece.name.startswith(BEGINNING)]


def fit_without(pieces: list[Piece], folds: list[int], begun: dict[int, Parameters]) -> dict[int, Fitted]:
    """By fold all that is fitted to the pieces that are not in it, each fold from its own of ``begun``."""
    return _by_fold(_fit_without, pieces, folds, begun)


def _fit_without(fold: int) -> Fitted:
    known = [(piece, own) for piece, own in _shared if own != fold]
    return fit_all([piece for piece, _ in known], [own for _, own in known], _begun, _begun[fold])


def _heard(pieces: list[Piece], folds: list[int], begun: dict[int, Parameters]) -> list[Heard]:
    """What is heard at first in every third piece by weights that are fitted without its fold. Pieces whose annotation
    leaves a gap are left out."""
    known = [(piece, fold, path) for piece, fold in zip(pieces, folds, strict=True) if (path := path_of(piece))]
    return [
        Heard(piece, lattice_by(piece, begun[fold]), _changes(path), MARGIN * _cost(piece))
        for piece, fold, path in known[::EVERY]
    ]


def lattice_by(piece: Piece, model: Parameters) -> Lattice:
    """The lattice of a piece by what was fitted, in the grain that is kept."""
    return lattice_of(piece.grid, piece.stretches, {name: model[name] for name in SHAPES}, mixtures_in(model))


def _changes(path: list[tuple[int, int, int, int]]) -> Floats:
    """1 for each atom at whose start the analyst's chord changes."""
    out = np.zeros(path[-1][1])
    for (_, _, before_key, before), (start, _, key, degree) in pairwise(path):
        chord = int(STATES[before_key, before])
        if not KNOWN[key, chord]:
            chord = _stand_in(chord, key)
        out[start] = DEGREE_OF[key, chord] != degree
    return out


def fit_all(
    pieces: list[Piece], folds: list[int], begun: dict[int, Parameters], own: Parameters, verbose: bool = False
) -> Fitted:
    """All that is fitted to ``pieces``, begun with ``own`` weights that were fitted to those of ``BEGINNING``.

    The weights of a piece's own rhythm are fitted to what is heard in pieces by those of ``begun`` that do not know
    their fold.
    """
    at_first = [place for place, piece in enumerate(pieces) if piece.name.startswith(BEGINNING)]
    heard = _heard([pieces[place] for place in at_first], [folds[place] for place in at_first], begun)
    rhythm = fit_rhythm(heard)
    bass = fit_bass([one for piece in _beginning(pieces) for one in readings(piece)])
    return fit_on(pieces, Fitted({name: own[name] for name in SHAPES}, NO_MIXTURES, rhythm, bass), verbose)


def fit_on(pieces: list[Piece], begun: Fitted, verbose: bool = False) -> Fitted:
    """Weights fitted on from those that were ``begun``, cue by cue; their rhythm and bass line are kept."""
    added = {}
    for piece in pieces:
        first = lattice_of(piece.grid, piece.stretches, begun.chords, NO_MIXTURES)
        added[piece.name] = last_hearing(piece.grid, first, begun.rhythm).change - first.change
    model = fit(pieces, added, verbose, begun.chords)
    again = {name: table for name, table in model.items() if not name.startswith(COLLECTIONS)}
    again |= {name: begun.chords[name] for name in KEPT}
    model = fit(pieces, added, verbose, again, KEPT)
    chords = {name: model[name] for name in SHAPES}
    return Fitted(chords, mixtures_in(model), begun.rhythm, begun.bass)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", nargs="*", default=["song", "wtc1", "var"])
    parser.add_argument("--out", type=Path, default=Path("sitegen/analysis/harmony"))
    parser.add_argument("--begin", type=Path)
    options = parser.parse_args()
    pieces = [*load(options.folder, tuple(options.only)), *chorales()]
    if options.begin:
        model = fit_on(pieces, _read(json.loads(options.begin.read_text(encoding="utf-8"))), verbose=True)
    else:
        folds = fold_of(pieces)
        begun = begin_without(pieces, folds)
        model = fit_all(pieces, folds, begun, fit(_beginning(pieces), verbose=True), verbose=True)
    note = {
        "fitted on": f"{len(pieces)} pieces: songs with piano and preludes (names that start with song, wtc1), their"
        " analyses from the When in Rome corpus; themes and variations for piano (var), each by two"
        f" analysts where they differ, from TAVERN; {len(chorales())} chorales with the analyses that"
        " music21's corpus has. The weights of the rhythm and of the bass line, which were begun with,"
        " were fitted without the variations",
        "terms": "the analyses are CC BY-SA 4.0, the variations' by J. Devaney and others (TAVERN); those of the"
        " chorales come with music21; only the numbers below were taken from them",
        "grain": "of two analysts each counts for half; those of the variations, the preludes and the chorales,"
        " who mark fewer changes or more, were fitted with a grain of their own (by length, onsets and"
        " place of the bar) beside the weights below, which is left out: what is kept is the grain of the"
        " songs' analysts, who mark every change. Which chords and keys follow each other is as it was begun"
        " with",
        "kept aside": "how far unseen pieces agree is measured with other numbers (harmony_agreement --cross-validate):"
        " each fifth is begun anew on songs, preludes and chorales and fitted on with variations, nothing of the fifth"
        " known, its composers neither, except through the weights of a piece's own rhythm, which are fitted to what"
        " weights that may know it hear in other pieces",
        "command": "python -m tests.benchmarks.fit_harmony FOLDER --only song wtc1 var --begin WEIGHTS, where"
        " WEIGHTS were fitted to songs, preludes and chorales, each cue by itself",
    }
    data = {"chords": named(model.chords), "rhythm": rhythm_named(model.rhythm), "bass": bass_named(model.bass)}
    _write(options.out / "weights.json", json.dumps(note | data, indent=1, ensure_ascii=False))
    mixtures = ",\n".join(
        "{" + ",\n ".join(f"{json.dumps(name)}: {_lines(table)}" for name, table in mixture.items()) + "}"
        for mixture in mixtures_named(model.mixtures)
    )
    _write(options.out / "mixtures.json", json.dumps(note, indent=1)[:-2] + f',\n"mixtures": [\n{mixtures}\n]\n}}')


def _read(data: dict) -> Fitted:
    return Fitted(
        from_named(data["chords"]), NO_MIXTURES, rhythm_from_named(data["rhythm"]), bass_from_named(data["bass"])
    )


def _lines(table: object) -> str:
    """A table of a mixture: cues one to a line, all else on one."""
    if isinstance(table, dict) and any(isinstance(row, list) for row in table.values()):
        return "{\n" + ",\n".join(f"  {json.dumps(cue)}: {json.dumps(row)}" for cue, row in table.items()) + "}"
    return json.dumps(table)


def _write(path: Path, text: str) -> None:
    path.write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
