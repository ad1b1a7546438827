"""Sums over all paths through a lattice, from the front and from behind (the forward-backward algorithm).

They run in linear space. Each stretch is weighed against the best that can be reached at its end, which keeps the sums
of a span between joints in range; at each joint they are scaled. Stretches never cross a joint, so one span is laid
out by key and degree at a time. A state is a key's degree; a table of them is one row, key after key.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from sitegen.analysis.harmony.chords import WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import EXISTS, SAFE, Lattice
from sitegen.analysis.harmony.pivots import STATES, heard_anew, pivots

_CHORD_OF: Ints = SAFE.ravel()
_EXISTS: Floats = EXISTS.ravel()


class Boundary(NamedTuple):
    """Sums over all paths from one end of the piece to a boundary, by state, and the logarithm of their ``scale``.

    ``ended`` sums the paths whose stretch ends there, before the step to the next is taken; ``begun`` those about to
    begin a stretch there, after it. ``between`` is what the step itself joins, before its own weight: from the front
    ``ended``, heard anew; from behind ``begun``, a step to another chord before it.
    """

    ended: Floats
    between: Floats
    begun: Floats
    scale: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """Stretches by chord in linear space; the logarithms of their scales, and of the best chord in the best key.

    They do not depend on ``change`` and ``run_on``, so lattices that differ in those alone may share them.
    """

    chord: Floats
    scale: Floats
    best: Floats


def weigh(lattice: Lattice) -> Weighed:
    """The stretches of a lattice."""
    scale = lattice.chord.max(axis=1)
    chord = np.subtract(lattice.chord, scale[:, None])
    return Weighed(np.exp(chord, out=chord), scale, scale + lattice.key.max(axis=1))


@dataclass(frozen=True, slots=True)
class Paths:
    """All paths through a lattice in linear space.

    ``key`` weighs each stretch of ``chord`` by key, against the best that can be reached at its end; ``level`` is the
    logarithm of the best at the end of the piece. A step goes from degree to degree (``step``, by mode), from key to
    key or in the same (``hear``). By boundary: that the chord changes (``change``) or runs on (``run_on``: 0 where it
    cannot, ``change`` then 1).
    """

    spans: tuple[tuple[int, int], ...]
    first: Ints
    chord: Floats
    key: Floats
    opening: Floats
    step: Floats
    hear: Floats
    change: list[float]
    run_on: list[float]
    level: float

    @staticmethod
    def of(lattice: Lattice, weighed: Weighed) -> Paths:
        """Those of a lattice; ``weighed`` are its stretches."""
        scale = np.maximum(lattice.change, lattice.run_on)
        change, run_on = np.exp(lattice.change - scale), np.exp(lattice.run_on - scale)
        ended, begun = _levels(lattice, weighed.best, scale)
        key = lattice.key + (weighed.scale + begun[lattice.start] - ended[lattice.stop])[:, None]
        return Paths(
            lattice.spans, lattice.first, weighed.chord, np.exp(key, out=key), lattice.opening, np.exp(lattice.steps),
            pivots(np.exp(lattice.key_steps) + np.eye(24)), change.tolist(), run_on.tolist(), float(ended[-1]),
        )  # fmt: skip

    def rows(self, low: int, high: int) -> slice:
        """The stretches of a span."""
        return slice(int(self.first[low + 1]), int(self.first[high + 1]))

    def by_state(self, rows: slice | Ints) -> Floats:
        """Stretches by state."""
        weights = self.chord[rows].take(_CHORD_OF, axis=1).reshape(-1, 24, WIDTH)
        weights *= self.key[rows][:, :, None]
        return weights.reshape(-1, STATES)

    def joined(self, boundary: int, stayed: Floats, moved: Floats) -> Floats:
        """The paths on both sides of a boundary together: those whose chord runs on and those that step to another."""
        if not self.run_on[boundary]:
            return moved
        out: Floats = self.change[boundary] * moved + self.run_on[boundary] * stayed
        return out


def _levels(lattice: Lattice, best: Floats, steps: Floats) -> tuple[Floats, Floats]:
    """The logarithm of the best that ends, and that begins, at each boundary, whatever chords and keys are joined."""
    ended, begun = [0.0], [0.0]
    by_stop = pairwise(lattice.first[1:].tolist())
    stretch, step = best.tolist(), [*steps.tolist(), 0.0]
    for stop, (row, following) in enumerate(by_stop, start=1):
        level = max(map(float.__add__, begun[stop - (following - row) :], stretch[row:following]))
        ended.append(level)
        begun.append(level + step[stop])
    return np.array(ended), np.array(begun)


def forward(paths: Paths) -> Iterator[Boundary]:
    """Sums over all paths from the start to each boundary, from the first boundary to the last."""
    scale = float(paths.opening.max())
    begun = np.exp(paths.opening - scale).ravel()
    yield Boundary(_NOTHING, _NOTHING, begun, scale)
    for low, high in paths.spans:
        weights = paths.by_state(paths.rows(low, high))
        begins = np.empty((high - low + 1, STATES))
        begins[0] = begun
        row = 0
        for place in range(1, high - low + 1):
            ended = _sum(begins[:place], weights[row : row + place])
            row += place
            if low + place == high:
                size = ended.max()
                ended /= size
                scale += float(np.log(size))
                if high == len(paths.change):
                    yield Boundary(ended, _NOTHING, _NOTHING, scale)
                    return
            between = heard_anew(ended, paths.hear)
            begun = paths.joined(low + place, between, _in_each_mode(between, paths.step))
            begins[place] = begun
            yield Boundary(ended, between, begun, scale)


def backward(paths: Paths) -> Iterator[Boundary]:
    """Sums over all paths from each boundary to the end, from the last boundary to the first."""
    back, hear = paths.step.transpose(0, 2, 1), paths.hear.transpose(0, 2, 1)
    scale, ended = 0.0, _EXISTS
    yield Boundary(ended, _NOTHING, _NOTHING, scale)
    for low, high in reversed(paths.spans):
        size = high - low
        weights = paths.by_state(paths.rows(low, high).start + _by_start(size))
        ends = np.empty((size + 1, STATES))
        ends[size] = ended
        row = len(weights)
        for place in range(size - 1, -1, -1):
            row -= size - place
            begun = _sum(ends[place + 1 :], weights[row : row + size - place])
            if place == 0:
                most = begun.max()
                begun /= most
                scale += float(np.log(most))
                if low == 0:
                    yield Boundary(_NOTHING, _NOTHING, begun, scale)
                    return
            between = _in_each_mode(begun, back)
            ended = heard_anew(paths.joined(low + place, begun, between), hear)
            ends[place] = ended
            yield Boundary(ended, between, begun, scale)


_NOTHING: Floats = np.zeros(STATES)


@cache
def _by_start(size: int) -> Ints:
    """The rows of a span of ``size`` atoms, which are sorted by ``stop``, sorted by ``start``."""
    out: Ints = np.array(
        [stop * (stop - 1) // 2 + start for start in range(size) for stop in range(start + 1, size + 1)]
    )
    return out


def _sum(paths: Floats, weights: Floats) -> Floats:
    """The paths of several stretches that meet at one boundary."""
    out: Floats = paths[0] * weights[0] if len(paths) == 1 else np.einsum("sx,sx->x", paths, weights)
    return out


def _in_each_mode(states: Floats, step: Floats) -> Floats:
    """States after a step from degree to degree, of which each mode has its own."""
    out: Floats = (states.reshape(2, 12, WIDTH) @ step).reshape(STATES)
    return out
