"""Cadences: which two chords close a phrase, and how firmly.

Definitions after Aldwell, Schachter & Cadwallader, Harmony and Voice Leading (4th ed., 2011), ch. 7-10: authentic, V
(or the leading-note chord) to I, perfect where both chords stand on their roots and the melody ends on the tonic; half,
an arrival on V in root position; deceptive, V to VI where I is expected; plagal, IV to I.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis.chords import CADENTIAL, key_of
from sitegen.analysis.nouns import Harmony

PERFECT = "perfect authentic cadence"
IMPERFECT = "imperfect authentic cadence"
HALF = "half cadence"
DECEPTIVE = "deceptive cadence"
PLAGAL = "plagal cadence"
AUTHENTIC = (PERFECT, IMPERFECT)

# how firmly each closes, for weighing against pauses and lengths in ``phrases``
FIRMNESS = {PERFECT: 1.5, IMPERFECT: 1.0, HALF: 0.7, PLAGAL: 0.6, DECEPTIVE: 0.5}

WITH_ARTICLE = {kind: f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}" for kind in FIRMNESS}
"""Each cadence as a sentence says it: ``an imperfect authentic cadence``."""

_FIFTH, _FOURTH, _LEADING = 7, 5, 11


@dataclass(frozen=True, slots=True)
class Cadence:
    """``kind`` is a name above; ``arrival`` is the tick of its second chord."""

    kind: str
    arrival: int


def cadence_at(harmonies: Sequence[Harmony], index: int, melody: int | None, resting: bool = False) -> Cadence | None:
    """The cadence that the harmony at ``index`` makes with the one before; ``melody`` is the pitch class on top.
    ``resting`` says that a phrase rests there: its dominant may then have a seventh."""
    if not index:
        return None
    before, here = harmonies[index - 1], harmonies[index]
    if before.root is None or here.root is None or here.key is None or here.numeral == CADENTIAL:
        return None
    fifths, mode = key_of(here.key)
    tonic = 7 * fifths % 12
    came, went = (before.root - tonic) % 12, (here.root - tonic) % 12
    dominant = came in (_FIFTH, _LEADING) and (tonic + _LEADING) % 12 in before.pitch_classes
    kind = ""
    if went == 0 and dominant:
        firm = came == _FIFTH and before.bass == before.root and here.bass == here.root and melody == tonic
        kind = PERFECT if firm else IMPERFECT
    elif went == 0 and came == _FOURTH and here.bass == here.root == tonic and before.bass == before.root:
        kind = PLAGAL
    elif went == (8 if mode == "minor" else 9) and came == _FIFTH and dominant and here.bass == here.root:
        kind = DECEPTIVE
    elif went == _FIFTH and here.bass == here.root and (came != _FIFTH or before.numeral == CADENTIAL):
        # a seventh drives on: V7 is where a phrase stops only if it stops there anyway
        stops = resting or len(here.pitch_classes) <= 3
        kind = HALF if (tonic + _LEADING) % 12 in here.pitch_classes and stops else ""
    return Cadence(kind, here.onset) if kind else None
