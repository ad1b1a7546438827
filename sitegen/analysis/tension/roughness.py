"""Sensory roughness of a chord from its partials.

Two partials within a critical bandwidth beat against each other (Plomp and Levelt, "Tonal consonance and critical
bandwidth", JASA 38, 1965). The curve is Sethares' fit of theirs ("Local consonance and the relationship between
timbre and scale", JASA 94, 1993): ``a1 * a2 * (exp(-3.5 s d) - exp(-5.75 s d))`` for partials ``d`` Hz apart, with
``s = 0.24 / (0.021 f + 19)`` for the lower frequency ``f``; his tone has partials of amplitude ``0.88 ** n``.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import combinations

import numpy as np

_PARTIALS = np.arange(1, 7)
_AMPLITUDES = 0.88 ** np.arange(6)


@lru_cache(maxsize=8192)
def roughness_of_interval(low: int, high: int) -> float:
    """The roughness between two tones, given as MIDI numbers (that within each of them left out)."""
    below, above = (440.0 * 2 ** ((midi - 69) / 12) * _PARTIALS for midi in (low, high))
    lower = np.minimum(below[:, None], above[None, :])
    apart = np.abs(below[:, None] - above[None, :])
    scaled = 0.24 / (0.021 * lower + 19) * apart
    weights = _AMPLITUDES[:, None] * _AMPLITUDES[None, :]
    return float((weights * (np.exp(-3.5 * scaled) - np.exp(-5.75 * scaled))).sum())


def roughness_of_chord(pitches: Iterable[int]) -> float:
    """The roughness of all intervals of a chord of different MIDI numbers, for each of its tones; 0 for one tone."""
    tones = sorted(set(pitches))
    if len(tones) < 2:
        return 0.0
    return sum(roughness_of_interval(low, high) for low, high in combinations(tones, 2)) / len(tones)
