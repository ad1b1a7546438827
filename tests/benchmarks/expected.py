"""What all readings of a score are made of together: the counts that fitting compares with the analysts' path.

The sums are those of the search (``sums.py``). Here the stretches of a score are laid out by state once for both
directions, and what is counted is counted for the whole score at a time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sitegen.analysis.harmony.beliefs import IN_ORDER, OF_CHORD, norm_of
from sitegen.analysis.harmony.chords import KEYS, MODES, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import Lattice
from sitegen.analysis.harmony.pivots import LAID, SHELVES, STATES
from sitegen.analysis.harmony.sums import Boundary, Paths, backward, forward, weigh


class Counts(NamedTuple):
    """How often a path has each thing: stretches by chord and by key; by atom that the chord changes, or runs on; steps
    by mode and degrees; that a chord is heard in one key after another; states at the start."""

    chord: Floats
    key: Floats
    change: Floats
    run_on: Floats
    stepped: Floats
    heard_as: Floats
    opening: Floats


@dataclass(frozen=True, slots=True)
class _Laid(Paths):
    """Paths whose stretches are laid out by state beforehand."""

    laid: Floats

    def by_state(self, rows: slice | Ints) -> Floats:
        return self.laid[rows]


def _laid(paths: Paths) -> _Laid:
    fields = {name: getattr(paths, name) for name in Paths.__dataclass_fields__}
    return _Laid(**fields, laid=paths.by_state(slice(None)))


def expected(lattice: Lattice) -> tuple[float, Counts]:
    """The log of the sum over all paths, and the expected counts of what a path is made of."""
    paths = _laid(Paths.of(lattice, weigh(lattice)))
    to, back = list(forward(paths)), list(backward(paths))[::-1]
    norm = norm_of(to[-1])
    to_scale, back_scale = np.array([one.scale for one in to]), np.array([one.scale for one in back])
    scale = np.exp(np.minimum(to_scale[lattice.start] + back_scale[lattice.stop] - norm, 700))
    weights = paths.laid
    weights *= _table(to[:-1], "begun")[lattice.start]
    weights *= _table(back[1:], "ended")[lattice.stop - 1]
    chord = np.add.reduceat(weights.take(IN_ORDER, axis=1), OF_CHORD, axis=1) * scale[:, None]
    key = weights.reshape(-1, 24, WIDTH).sum(axis=2) * scale[:, None]
    opening = (to[0].begun * back[0].begun).reshape(24, WIDTH) * np.exp(to_scale[0] + back_scale[0] - norm)
    scale = np.exp(to_scale[1:-1] + back_scale[1:-1] - norm)
    return norm + paths.level, Counts(chord, key, *_between(paths, to[1:-1], back[1:-1], scale), opening)


def _table(side: list[Boundary], name: str) -> Floats:
    return np.concatenate([getattr(one, name) for one in side]).reshape(-1, STATES)


def _between(
    paths: Paths, to: list[Boundary], back: list[Boundary], scale: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """What is counted at the inner boundaries: changes and runnings on by atom, steps, and hearings anew."""
    atoms = len(paths.change)
    change, run_on = np.zeros(atoms), np.zeros(atoms)
    if atoms < 2:
        return change, run_on, np.zeros((2, WIDTH, WIDTH)), np.zeros((24, 24))
    before, heard = _table(to, "ended"), _table(to, "between")
    onward, begun = _table(back, "between"), _table(back, "begun")
    moved, ran = np.array(paths.change[1:]) * scale, np.array(paths.run_on[1:]) * scale
    change[1:] = np.einsum("ax,ax->a", heard, onward) * moved
    run_on[1:] = np.einsum("ax,ax->a", heard, begun) * ran
    heard *= moved[:, None]
    one, other = (
        table.reshape(-1, 2, 12, WIDTH).transpose(1, 0, 2, 3).reshape(2, -1, WIDTH) for table in (heard, begun)
    )
    stepped = one.transpose(0, 2, 1) @ other * paths.step
    onward *= moved[:, None]
    ending = np.flatnonzero(ran)
    onward[ending] += ran[ending, None] * begun[ending]
    by_place = before[:, LAID].transpose(1, 2, 3, 0) @ onward[:, LAID].transpose(1, 2, 0, 3) * paths.hear[:, None]
    heard_as = np.bincount(_KEYS_OF.ravel(), by_place.ravel(), minlength=24 * 24).reshape(24, 24)
    np.fill_diagonal(heard_as, 0.0)
    return change, run_on, stepped, heard_as


def _keys_of() -> Ints:
    """For each shelf, root and pair of places the pair of keys that they are in, as ``24 * before + after``."""
    out = np.zeros((*LAID.shape, LAID.shape[2]), dtype=np.int64)
    for shelf, places in enumerate(SHELVES):
        for root in range(12):
            keys = [KEYS.index((mode, (root - MODES[mode][degree].interval) % 12)) for mode, degree in places]
            out[shelf, root, : len(keys), : len(keys)] = 24 * np.array(keys)[:, None] + np.array(keys)
    return out


_KEYS_OF = _keys_of()
