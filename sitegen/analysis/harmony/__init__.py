"""Chords and keys: which harmony sounds when, and in which key it is heard."""

from sitegen.analysis.harmony.finding import find_harmonies

__all__ = ["find_harmonies"]
