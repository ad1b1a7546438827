"""How far a chord lies from its local tonic: Lerdahl, Tonal Pitch Space (2001), chapter 2.

``distance = i + j + k``: ``i`` steps on the circle of fifths between the chord's region and the key, ``j`` steps on the
circle of fifths of the scale's degrees between the roots, ``k`` tones of the chord's basic space that the tonic's
basic space has not, level by level (root; root and fifth; chord; scale). Here a seventh belongs to the chord level, an
applied chord to the region of its goal, and a minor region holds both its sevenths. The chord of a
cadential six-four is its dominant, whose fifth and third it delays (Aldwell and Schachter, ch. 10).
"""

from __future__ import annotations

from functools import lru_cache

from sitegen.analysis.chords import CADENTIAL, NEAREST_FIFTHS, Mode, key_of, target_fifths

_SCALES: dict[Mode, tuple[int, ...]] = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 8, 10, 11),
}
_TONICS: dict[Mode, tuple[int, ...]] = {"major": (4, 7), "minor": (3, 7)}
"""The third and the fifth of the tonic triad."""
_SIGNATURES: dict[Mode, int] = {"major": 0, "minor": -3}
_REGIONS = tuple((fifths, mode) for mode in _SCALES for fifths in NEAREST_FIFTHS)


@lru_cache(maxsize=8192)
def distance_from_tonic(pitch_classes: frozenset[int], root: int, key: str, numeral: str | None = None) -> int:
    """The distance of a chord from the tonic triad of ``key`` (such as ``F# minor``), 0 for the tonic itself.

    ``numeral`` tells the region of an applied chord (``V7/ii``) and a cadential six-four (``V64-53``).
    """
    tonic, mode = key_of(key)
    chord = frozenset((pc - tonic * 7) % 12 for pc in pitch_classes)
    interval = (root - tonic * 7) % 12
    if numeral == CADENTIAL:
        chord, interval = frozenset({7, 11, 2}), 7
    fifths, region_mode = _region(chord, mode, numeral)
    region = frozenset((fifths * 7 + step) % 12 for step in _SCALES[region_mode])
    home = _levels(frozenset(_TONICS[mode]), 0, frozenset(_SCALES[mode]))
    there = _levels(chord, interval, region)
    i = abs(fifths + _SIGNATURES[region_mode] - _SIGNATURES[mode])
    around = NEAREST_FIFTHS[interval] % 7
    return i + min(around, 7 - around) + sum(len(level - known) for level, known in zip(there, home, strict=True))


def _levels(chord: frozenset[int], root: int, scale: frozenset[int]) -> tuple[frozenset[int], ...]:
    """The basic space from the root to the scale, which the chord may widen."""
    fifth = next(((root + f) % 12 for f in (7, 6, 8) if (root + f) % 12 in chord), root)
    return frozenset({root}), frozenset({root, fifth}), chord | {root}, scale | chord


def _region(chord: frozenset[int], mode: Mode, numeral: str | None) -> tuple[int, Mode]:
    """The region of a chord, as its tonic on the line of fifths above the key's, and its mode."""
    target = numeral.partition("/")[2] if numeral else ""
    fifths = target_fifths(mode, target)
    if fifths is not None:
        return fifths, "minor" if target.lstrip("b#").islower() else "major"
    # a key lends its chords the lowered sixth (iv, iio, viio7 in major) without being left
    lent = {8} if mode == "major" else {9}
    if chord <= {*_SCALES[mode], *lent}:
        return 0, mode
    fitting = [region for region in _REGIONS if chord <= {(region[0] * 7 + step) % 12 for step in _SCALES[region[1]]}]
    return min(
        fitting,
        key=lambda region: (abs(region[0] + _SIGNATURES[region[1]] - _SIGNATURES[mode]), region[1] != mode, region),
        default=(0, mode),
    )
