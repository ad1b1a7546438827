"""From the weight of every reading to the one that is given: the chords most likely to be right, moment by moment.

Not the single likeliest path: each atom is given to the chord that most of the readings' weight is behind, and a
change is placed where most of it changes (minimum Bayes risk; Goodman, Parsing algorithms and metrics, ACL 1996).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.chords import CHORDS, INSIDE, Floats, Ints
from sitegen.analysis.harmony.lattice import KNOWN

_SIZE = INSIDE.sum(axis=0)
_SHARED = INSIDE.T @ INSIDE
_ALIKE: Floats = 2 * _SHARED / (_SIZE[:, None] + _SIZE[None, :])
_ROOTS = np.array([root for _, root in CHORDS])
_SAME_ROOT: Floats = (_ROOTS[:, None] == _ROOTS[None, :]).astype(np.float64)
SAME_CHORD: Floats = (_ALIKE == 1) * _SAME_ROOT
_CHANGE_GAIN = 1.0
"""What a change in the right place is worth, in beats of the right chord."""
_EVEN = 0.44
"""The belief from which on placing a change pays: half the F1 that can be reached (Lipton, Elkan and Naryanaswamy,
Optimal thresholding of classifiers to maximize F1 measure, ECML 2014)."""
_ALIKE_SHARE, _ROOT_SHARE = 0.1, 0.3
"""The worth of tones shared with the right chord, and of its root, against that of the chord itself."""
WORTH: Floats = (1 - _ALIKE_SHARE - _ROOT_SHARE) * SAME_CHORD + _ALIKE_SHARE * _ALIKE + _ROOT_SHARE * _SAME_ROOT
_KEY_STAYS = 1.0
"""How many beats of belief a change of key must earn."""


def choose_chords(beliefs: Beliefs, beats: Floats, barred: Floats | float = 0.0) -> Ints:
    """The chord of each atom: most expected agreement in time and in places of change. ``beats`` are atoms' lengths;
    ``barred`` is minus infinity for the chords that an atom cannot have, else 0."""
    worth = (beliefs.chord @ WORTH) * beats[:, None] + barred
    own_worth = beliefs.chord * beats[:, None] + barred
    path = _best_path(worth, _CHANGE_GAIN * (_EVEN - beliefs.change))
    ends = [0, *(np.flatnonzero(path[1:] != path[:-1]) + 1).tolist(), len(path)]
    for start, stop in pairwise(ends):
        # the tonic triad and the cadential six-four hold the same tones: the readings tell which of them it is
        own = own_worth[start:stop].sum(axis=0)
        path[start:stop] = np.where(SAME_CHORD[path[start]] > 0, own, -np.inf).argmax()
    return path


def choose_keys(beliefs: Beliefs, chords: Ints, beats: Floats, barred: Floats | float = 0.0) -> Ints:
    """The key of each atom: most belief in time, changes of key kept few, and the chord known in its key. ``barred`` is
    minus infinity for the keys that an atom cannot have, else 0."""
    worth = beliefs.state.sum(axis=2) * beats[:, None] - np.where(KNOWN[:, chords].T > 0, 0.0, beats[:, None])
    return _best_path(worth + barred, np.full(len(beats), _KEY_STAYS))


def _best_path(worth: Floats, cost: Floats) -> Ints:
    """The column of each row that is worth most in sum, a change of column before a row costing ``cost``."""
    best = worth[0]
    stays = np.empty((len(worth) - 1, worth.shape[1]), dtype=np.bool_)
    leaders: list[int] = []
    for row, price, stay in zip(worth[1:], cost[1:].tolist(), stays, strict=True):
        leader = int(best.argmax())
        jump = best[leader] - price
        leaders.append(leader)
        np.greater_equal(best, jump, out=stay)
        best = np.maximum(best, jump) + row
    path = [int(best.argmax())]
    for stay, leader in zip(stays[::-1], reversed(leaders), strict=True):
        path.append(path[-1] if stay[path[-1]] else leader)
    return np.array(path[::-1])
