"""The weights of the search: named tables, read from ``weights.json`` and ``mixtures.json`` beside this file.

``steps_between`` and ``key_steps`` spread them over degrees and keys; ``collect_steps`` and ``collect_keys`` are the
transposes, for the fitting script.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from sitegen.analysis.harmony.bass import BassWeights, bass_from_named
from sitegen.analysis.harmony.chords import FUNCTIONS, KEYS, MODES, QUALITIES, ROLES, WIDTH, Floats, Ints
from sitegen.analysis.harmony.contrasts import CONTRASTS
from sitegen.analysis.harmony.evidence import CLASSES, JOINS
from sitegen.analysis.harmony.grid import LEVELS
from sitegen.analysis.harmony.harmonic_rhythm import RhythmWeights, rhythm_from_named
from sitegen.analysis.harmony.mixtures import Mixtures, mixtures_from_named
from sitegen.analysis.harmony.stretches import CROWD_NAMES, LENGTH_NAMES, TONE_TABLES

RELATIONS = (
    "parallel", "relative", "dominant", "subdominant", "one sign, other mode", "two signs", "three signs", "farther",
)  # fmt: skip
STEPS = (
    "resolves as applied", "applied, unresolved", "triad gains its seventh", "seventh chord loses it",
    "other chord on the same root", "same pitch classes",
)  # fmt: skip
MODE_NAMES = ("major", "minor")
DEGREE_NAMES = tuple(
    tuple(f"{degree.name} {QUALITIES[degree.quality].name}" for degree in degrees)
    + tuple(f"unused {i}" for i in range(WIDTH - len(degrees)))
    for degrees in MODES
)
LABELS: dict[str, tuple[tuple[str, ...], ...]] = {
    **dict.fromkeys(TONE_TABLES, (ROLES,)),
    "foreign beats": (CLASSES,),
    "foreign onsets": (CLASSES,),
    "joined": (JOINS,),
    "misspelt": (("tone",),),
    "length": (LENGTH_NAMES,),
    "crowd": (CROWD_NAMES,),
    "frame": (tuple(f"from {a} to {b}" for a in LEVELS for b in LEVELS),),
    "change at": (LEVELS,),
    "change with": (CONTRASTS,),
    "over the bar line": (CONTRASTS,),
    "degree": (MODE_NAMES, tuple(str(i) for i in range(WIDTH))),
    "function": (FUNCTIONS, FUNCTIONS),
    "root moves by": (tuple(f"{i} semitones" for i in range(12)),),
    "step": (STEPS,),
    "key change": (("any",),),
    "relation": (RELATIONS,),
    "off the scale": (("beats", "onsets"),),
    "signature": (("sign away, each beat", "sign away, at the start"),),
}
"""What each weight is called: a table's axes, each with the names along it."""
SHAPES = {name: tuple(len(axis) for axis in axes) for name, axes in LABELS.items()}
Weights = dict[str, Floats]


def zeros() -> Weights:
    """Weights that prefer nothing."""
    return {name: np.zeros(shape) for name, shape in SHAPES.items()}


def _relation(one: int, other: int) -> int:
    (mode, tonic), (mode2, tonic2) = KEYS[one], KEYS[other]
    own, new = (7 * tonic - 3 * mode) % 12, (7 * tonic2 - 3 * mode2) % 12
    away = (new - own + 6) % 12 - 6
    if mode != mode2:
        if tonic == tonic2:
            return 0
        return 1 if away == 0 else 4 if abs(away) == 1 else min(4 + abs(away), 7) if abs(away) > 1 else 4
    return 2 if away == 1 else 3 if away == -1 else min(3 + abs(away), 7)


RELATION: Ints = np.array([[_relation(a, b) for b in range(24)] for a in range(24)], dtype=np.int64)


def _step_tables() -> tuple[Floats, Ints, Ints, Floats]:
    """Per mode: which of ``STEPS`` a pair of degrees makes, its functions, its root motion, and whether both exist."""
    steps = np.zeros((2, WIDTH, WIDTH, len(STEPS)))
    functions = np.zeros((2, WIDTH, WIDTH), dtype=np.int64)
    motion = np.zeros((2, WIDTH, WIDTH), dtype=np.int64)
    exists = np.zeros((2, WIDTH, WIDTH))
    for mode, degrees in enumerate(MODES):
        for i, a in enumerate(degrees):
            for j, b in enumerate(degrees):
                exists[mode, i, j] = i != j
                functions[mode, i, j] = len(FUNCTIONS) * FUNCTIONS.index(a.function) + FUNCTIONS.index(b.function)
                motion[mode, i, j] = (b.interval - a.interval) % 12
                if a.target is not None:
                    steps[mode, i, j, 0 if b.interval == a.target else 1] = 1
                if a.interval == b.interval:
                    one, two = QUALITIES[a.quality].tones, QUALITIES[b.quality].tones
                    if one == two:
                        steps[mode, i, j, 5] = 1
                    else:
                        gains, loses = set(one) < set(two), set(two) < set(one)
                        steps[mode, i, j, 2 if gains else 3 if loses else 4] = 1
    return steps, functions, motion, exists


STEP_TABLE, FUNCTION_TABLE, MOTION_TABLE, EXISTS = _step_tables()


def steps_between(weights: Weights) -> Floats:
    """Log weight of the step from one degree to another of the same key: 2 modes, degrees, degrees."""
    out: Floats = np.where(
        EXISTS > 0,
        STEP_TABLE @ weights["step"]
        + weights["function"].reshape(-1)[FUNCTION_TABLE]
        + weights["root moves by"][MOTION_TABLE]
        + weights["degree"][:, None, :],
        -np.inf,
    )
    return out


def key_steps(weights: Weights) -> Floats:
    """Log weight of hearing what sounds in another key: 24 by 24, minus infinity on the diagonal."""
    out: Floats = weights["key change"][0] + weights["relation"][RELATION]
    np.fill_diagonal(out, -np.inf)
    return out


def collect_steps(gradient: Weights, expected: Floats) -> None:
    """Add what ``expected`` counts of steps (2 modes, degrees, degrees) mean for each weight to ``gradient``."""
    gradient["step"] += np.einsum("mij,mijs->s", expected, STEP_TABLE)
    gradient["function"] += np.bincount(
        FUNCTION_TABLE.ravel(), expected.ravel(), minlength=len(FUNCTIONS) ** 2
    ).reshape(len(FUNCTIONS), -1)
    gradient["root moves by"] += np.bincount(MOTION_TABLE.ravel(), expected.ravel(), minlength=12)
    gradient["degree"] += expected.sum(axis=1)


def collect_keys(gradient: Weights, expected: Floats) -> None:
    """Add what ``expected`` counts of key changes (24 by 24) mean for each weight to ``gradient``."""
    gradient["key change"][0] += expected.sum()
    gradient["relation"] += np.bincount(RELATION.ravel(), expected.ravel(), minlength=len(RELATIONS))


def named(weights: Weights) -> dict[str, dict[str, object]]:
    """Weights as nested dictionaries of labels, zeros left out, rounded to thousandths: what the file holds."""
    out: dict[str, dict[str, object]] = {}
    for name, axes in LABELS.items():
        if name == "degree":
            rows = [dict(zip(DEGREE_NAMES[m], weights[name][m].tolist(), strict=True)) for m in range(2)]
            out[name] = {mode: _rounded(row) for mode, row in zip(MODE_NAMES, rows, strict=True)}
        elif len(axes) == 1:
            out[name] = _rounded(dict(zip(axes[0], weights[name].tolist(), strict=True)))
        else:
            out[name] = {
                row: _rounded(dict(zip(axes[1], values.tolist(), strict=True)))
                for row, values in zip(axes[0], weights[name], strict=True)
            }
    return out


def _rounded(row: dict[str, float]) -> dict[str, object]:
    return {label: round(value, 3) for label, value in row.items() if round(value, 3)}


def from_named(data: dict[str, dict[str, float | dict[str, float]]]) -> Weights:
    """The inverse of ``named``. Raises ``KeyError`` for a table that is missing."""
    weights = zeros()
    for name, axes in LABELS.items():
        for row, value in data[name].items():
            place = axes[0].index(row)
            if isinstance(value, dict):
                columns = DEGREE_NAMES[place] if name == "degree" else axes[1]
                for column, number in value.items():
                    weights[name][place, columns.index(column)] = number
            else:
                weights[name][place] = value
    return weights


@dataclass(frozen=True, slots=True)
class Fitted:
    """Weights as read from their files: of the search for chords, cue by cue and of several together, of the piece's
    own rhythm, and of the bass line."""

    chords: Weights
    mixtures: Mixtures
    rhythm: RhythmWeights
    bass: BassWeights


@cache
def fitted() -> Fitted:
    """The weights in ``weights.json`` and ``mixtures.json``."""
    data, mixtures = (
        json.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))
        for name in ("weights.json", "mixtures.json")
    )
    return Fitted(
        from_named(data["chords"]),
        mixtures_from_named(mixtures["mixtures"]),
        rhythm_from_named(data["rhythm"]),
        bass_from_named(data["bass"]),
    )
