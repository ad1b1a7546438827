"""The words that counting and missing places share."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def ordinal(place: int) -> str:
    """``1`` is ``first``; from eleven on in figures, ``11th``."""
    return ORDINALS[place - 1] if place <= len(ORDINALS) else f"{place}th"


def counted(words: str, place: int, of: int) -> str:
    """``bar 1 (second)``: which one of several that have the same words; the words alone where there is one."""
    return words if of == 1 else f"{words} ({ordinal(place)})"


def nearest(word: str, known: Sequence[str], all_of_them: str = "known are") -> str:
    """The known names that are most like ``word``; where none is, ``all_of_them`` and their list."""
    near = get_close_matches(word.lower(), known, 3, 0.4) or list(known)
    return f"perhaps {' or '.join(near)}" if len(near) <= 3 else f"{all_of_them}: {', '.join(near)}"
