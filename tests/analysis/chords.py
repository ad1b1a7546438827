"""Harmonies by hand, in one line of lead-sheet symbols, for tests that do not ask which chord is heard.

``chords_of("C:2 G7/B:2", key="C major")``: each symbol with its length in quarters, the bass behind a stroke. ``-`` is
a stretch without a harmony.
"""

from sitegen.analysis.chords.naming import name_harmonies
from sitegen.analysis.chords.qualities import QUALITIES
from sitegen.analysis.nouns import Harmony
from sitegen.fifths import fifths_of
from sitegen.score import Score

SUFFIXES = {quality.symbol: quality for quality in reversed(QUALITIES)}


def chords_of(score: Score, text: str, key: str | None = "C major") -> tuple[Harmony, ...]:
    """Named harmonies from the start of ``score`` on."""
    harmonies, at = [], 0
    for token in text.split():
        symbol, _, length = token.partition(":")
        duration = int(float(length) * score.ticks_per_quarter)
        harmonies.append(harmony(symbol, at, duration, key))
        at += duration
    return name_harmonies(score, harmonies)


def harmony(symbol: str, onset: int = 0, duration: int = 1, key: str | None = "C major") -> Harmony:
    """One unnamed harmony of ``key``."""
    if symbol == "-":
        return Harmony(onset, duration)
    chord, _, low = symbol.partition("/")
    length = 2 if chord[1:2] in ("#", "b") else 1
    root = fifths_of(chord[:length]) * 7 % 12
    pcs = frozenset((root + tone) % 12 for tone in SUFFIXES[chord[length:]].tones)
    return Harmony(onset, duration, pcs, fifths_of(low) * 7 % 12 if low else root, root, key)
