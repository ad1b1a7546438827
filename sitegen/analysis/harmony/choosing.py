"""From the weight of every reading to the one that is given: the chords most likely to be right, moment by moment.

Not the single likeliest path: each atom is given to the chord that most of the readings' weight is behind, and a
change is placed where most of it changes (minimum Bayes risk; Goodman, Parsing algorithms and metrics, ACL 1996).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import KNOWN, STATES, Lattice
from sitegen.analysis.harmony.sums import Sums, backward, by_chord, by_state, forward, weigh


@dataclass(frozen=True, slots=True)
class Beliefs:
    """How sure the search is: of each chord and each key's degree in each atom, and of a change at its start."""

    chord: Floats
    state: Floats
    change: Floats


def beliefs_of(lattice: Lattice) -> Beliefs:
    """Posterior probabilities of all readings."""
    to, back = forward(lattice), backward(lattice)
    atoms = len(lattice.change)
    norm = float(np.log(to.ended[atoms].sum()) + to.ended_scale[atoms])
    state = np.zeros((atoms, 24, WIDTH))
    for low, high in lattice.spans:
        rows = slice(lattice.first[low + 1], lattice.first[high + 1])
        weights, peaks = weigh(lattice, rows)
        starts, stops = lattice.start[rows], lattice.stop[rows]
        scale = to.begun_scale[starts] + back.ended_scale[stops] + peaks - norm
        weights *= to.begun[starts]
        weights *= back.ended[stops]
        weights *= np.exp(np.minimum(scale, 600))[:, None, None]
        rise = np.zeros((high - low + 1, 24, WIDTH))
        for row, (start, stop) in enumerate(zip(starts.tolist(), stops.tolist(), strict=True)):
            rise[start - low] += weights[row]
            rise[stop - low] -= weights[row]
        state[low:high] = np.maximum(np.cumsum(rise[:-1], axis=0), 0)
    state *= STATES >= 0
    return Beliefs(by_chord(state).sum(axis=1), state, _changes(lattice, to, back, norm))


def _changes(lattice: Lattice, to: Sums, back: Sums, norm: float) -> Floats:
    step, hear = np.exp(lattice.steps), np.exp(lattice.key_steps)
    atoms = len(lattice.change)
    ended, begun = to.ended[1:atoms], back.begun[1:atoms]
    heard = ended + by_state(hear.T @ by_chord(ended))
    onward = np.concatenate([begun[:, :12] @ step[0].T, begun[:, 12:] @ step[1].T], axis=1)
    scale = to.ended_scale[1:atoms] + back.begun_scale[1:atoms] - norm + lattice.change[1:]
    out = np.ones(atoms)
    out[1:] = (heard * onward).sum(axis=(1, 2)) * np.exp(np.minimum(scale, 600))
    return out


_SIZE = INSIDE.sum(axis=0)
_SHARED = INSIDE.T @ INSIDE
_ALIKE: Floats = 2 * _SHARED / (_SIZE[:, None] + _SIZE[None, :])
_ROOTS = np.array([root for _, root in CHORDS])
SAME_CHORD: Floats = ((_ALIKE == 1) & (_ROOTS[:, None] == _ROOTS[None, :])).astype(np.float64)
_CHANGE_GAIN = 1.0
"""What a change in the right place is worth, in beats of the right chord."""
_EVEN = 0.4
"""The belief from which on placing a change pays."""
_ALIKE_SHARE = 0.2
"""The worth of tones shared with the right chord, against that of the chord itself."""
_KEY_STAYS = 1.0
"""How many beats of belief a change of key must earn."""


def choose_chords(beliefs: Beliefs, beats: Floats) -> Ints:
    """The chord of each atom: most expected agreement in time and in places of change. ``beats`` are atoms' lengths."""
    worth = (beliefs.chord @ ((1 - _ALIKE_SHARE) * SAME_CHORD + _ALIKE_SHARE * _ALIKE)) * beats[:, None]
    path = _best_path(worth, _CHANGE_GAIN * (_EVEN - beliefs.change))
    ends = [0, *(np.flatnonzero(path[1:] != path[:-1]) + 1).tolist(), len(path)]
    for start, stop in pairwise(ends):
        # the tonic triad and the cadential six-four hold the same tones: the readings tell which of them it is
        own = (beliefs.chord[start:stop] * beats[start:stop, None]).sum(axis=0)
        path[start:stop] = np.where(SAME_CHORD[path[start]] > 0, own, -1.0).argmax()
    return path


def choose_keys(beliefs: Beliefs, chords: Ints, beats: Floats) -> Ints:
    """The key of each atom: most belief in time, changes of key kept few, and the chord known in its key."""
    worth = beliefs.state.sum(axis=2) * beats[:, None] - np.where(KNOWN[:, chords].T > 0, 0.0, beats[:, None])
    return _best_path(worth, np.full(len(beats), _KEY_STAYS))


def _best_path(worth: Floats, cost: Floats) -> Ints:
    """The column of each row that is worth most in sum, a change of column before a row costing ``cost``."""
    best, back = worth[0], []
    columns = np.arange(worth.shape[1])
    for row, price in zip(worth[1:], cost[1:], strict=True):
        jump = best.max() - price
        back.append(np.where(best >= jump, columns, best.argmax()))
        best = np.maximum(best, jump) + row
    path = [int(best.argmax())]
    for pointers in reversed(back):
        path.append(int(pointers[path[-1]]))
    return np.array(path[::-1])
