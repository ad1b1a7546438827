"""Chords and keys: which harmony sounds when, and in which key it is heard."""

from sitegen.analysis.harmony.finding import find_harmonies
from sitegen.analysis.harmony.given_chords import hear_with, without_seams
from sitegen.analysis.harmony.keys import settle_keys

__all__ = [
    "find_harmonies",
    "hear_with",
    "settle_keys",
    "without_seams",
]
