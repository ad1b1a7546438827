"""From the weight of every reading to the one that is given: the chords most likely to be right, moment by moment.

Not the single likeliest path: each atom is given to the chord that most of the readings' weight is behind, and a
change is placed where most of it changes (minimum Bayes risk; Goodman, Parsing algorithms and metrics, ACL 1996).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, WIDTH, Floats, Ints
from sitegen.analysis.harmony.lattice import (
    DEGREE_OF,
    KEY_COLUMN,
    KNOWN,
    STATES,
    Lattice,
    Sums,
    backward,
    forward,
    heard_anew,
)  # fmt: skip


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
    rise = np.zeros((atoms + 1, 24, WIDTH))
    chord_exp_peak = lattice.chord.max(axis=1)
    chord = np.exp(lattice.chord - chord_exp_peak[:, None])
    key_peak = lattice.key.max(axis=1)
    key = np.exp(lattice.key - key_peak[:, None])
    for stop in range(1, atoms + 1):
        rows = slice(lattice.first[stop], lattice.first[stop + 1])
        starts = lattice.start[rows]
        scale = to.begun_scale[starts] + back.ended_scale[stop] - norm + chord_exp_peak[rows] + key_peak[rows]
        factor = np.exp(np.minimum(scale, 600))[:, None] * key[rows]
        share = to.begun[starts] * back.ended[stop] * factor[:, :, None] * chord[rows][:, STATES]
        rise[starts] += share
        rise[stop] -= share.sum(axis=0)
    state = np.maximum(np.cumsum(rise[:-1], axis=0), 0)
    state *= STATES >= 0
    by_chord = (state[:, KEY_COLUMN, DEGREE_OF] * KNOWN).sum(axis=1)
    return Beliefs(by_chord, state, _changes(lattice, to, back, norm))


def _changes(lattice: Lattice, to: Sums, back: Sums, norm: float) -> Floats:
    out = np.ones(len(lattice.change))
    step = np.exp(lattice.steps)
    hear = np.exp(lattice.key_steps)
    for atom in range(1, len(out)):
        heard = heard_anew(to.ended[atom], hear)
        begun = back.begun[atom]
        onward = np.concatenate([begun[:12] @ step[0].T, begun[12:] @ step[1].T])
        scale = to.ended_scale[atom] + back.begun_scale[atom] - norm + lattice.change[atom]
        out[atom] = (heard * onward).sum() * np.exp(scale)
    return out


_SIZE = INSIDE.sum(axis=0)
_SHARED = INSIDE.T @ INSIDE
_ALIKE: Floats = 2 * _SHARED / (_SIZE[:, None] + _SIZE[None, :])
_SAME: Floats = np.array(
    [
        [float(a == b or (_ALIKE[a, b] == 1 and CHORDS[a][1] == CHORDS[b][1])) for b in range(len(CHORDS))]
        for a in range(len(CHORDS))
    ]
)


def choose(beliefs: Beliefs, beats: Floats, change_gain: float, even: float, alike: float) -> Ints:
    """The chord of each atom: most expected agreement in time, and in places of change.

    ``change_gain`` is what a change in the right place is worth in beats, ``even`` the belief from which on it pays,
    ``alike`` the worth of tones shared with the right chord against that of the chord itself.
    """
    worth = (beliefs.chord @ ((1 - alike) * _SAME + alike * _ALIKE)) * beats[:, None]
    best, back = worth[0], []
    for atom in range(1, len(worth)):
        jump = best.max() + change_gain * (beliefs.change[atom] - even)
        back.append(np.where(best >= jump, np.arange(best.size), best.argmax()))
        best = np.maximum(best, jump) + worth[atom]
    path = [int(best.argmax())]
    for pointers in reversed(back):
        path.append(int(pointers[path[-1]]))
    return np.array(path[::-1])
