"""What sounds, heard anew in another key: a chord that both keys know joins them (a pivot chord).

A reading stands among the keys and their degrees; to be heard anew it keeps its chord. So the readings are laid out
by chord: those of one quality on one root lie side by side, on a shelf of their own or on one that several qualities
share, and what leads from key to key is one small table for each shelf, the same for all roots.
"""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.chords import KEYS, MODES, QUALITIES, WIDTH, Floats, Ints

STATES = 24 * WIDTH
_Place = tuple[int, int]
"""Mode and degree."""


def _shelves() -> list[list[_Place]]:
    """The degrees of both modes by quality, as few shelves as hold them, none wider than the fullest quality."""
    by_quality: list[list[_Place]] = [[] for _ in QUALITIES]
    for mode, degrees in enumerate(MODES):
        for place, degree in enumerate(degrees):
            by_quality[degree.quality].append((mode, place))
    by_quality.sort(key=len, reverse=True)
    shelves: list[list[_Place]] = []
    for places in by_quality:
        room = (shelf for shelf in shelves if len(shelf) + len(places) <= len(by_quality[0]))
        shelf = next(room, None)
        if shelf is None:
            shelves.append(places)
        else:
            shelf += places
    return shelves


SHELVES = _shelves()
_SHAPE = (len(SHELVES), 12, max(len(shelf) for shelf in SHELVES))


def _layout() -> tuple[Ints, Ints]:
    """The state at each place of the shelves (shelf, root, place), and the place of each state; what is not there is
    at a place, and in a state, that is always 0."""
    known = [
        (shelf, root, place, (12 * mode + (root - MODES[mode][degree].interval) % 12) * WIDTH + degree)
        for shelf, places in enumerate(SHELVES)
        for place, (mode, degree) in enumerate(places)
        for root in range(12)
    ]
    laid: Ints = np.full(_SHAPE, -1, dtype=np.int64)
    for shelf, root, place, state in known:
        laid[shelf, root, place] = state
    found: Ints = np.full(STATES, int(np.flatnonzero(laid.ravel() < 0)[0]), dtype=np.int64)
    for shelf, root, place, state in known:
        found[state] = np.ravel_multi_index((shelf, root, place), _SHAPE)
    unused = (set(range(STATES)) - {state for *_, state in known}).pop()
    return np.where(laid < 0, unused, laid), found


LAID, _FOUND = _layout()


def pivots(hear: Floats) -> Floats:
    """By shelf what leads from place to place, given what leads from key to key (24 by 24)."""
    out = np.zeros((len(SHELVES), _SHAPE[2], _SHAPE[2]))
    for shelf, places in enumerate(SHELVES):
        degrees = [MODES[mode][degree] for mode, degree in places]
        keys = [KEYS.index((mode, -degree.interval % 12)) for (mode, _), degree in zip(places, degrees, strict=True)]
        same = np.array([[a.quality == b.quality for b in degrees] for a in degrees])
        out[shelf, : len(places), : len(places)] = hear[np.ix_(keys, keys)] * same
    return out


def heard_anew(states: Floats, pivots: Floats) -> Floats:
    """States (24 keys times ``WIDTH`` degrees in one row; 0 where a key has no such degree), each heard in the keys
    that know its chord, as ``pivots`` lead there."""
    out: Floats = (states.take(LAID) @ pivots).take(_FOUND)
    return out
