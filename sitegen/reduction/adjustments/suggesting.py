"""What may have been meant by a name that is not there."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches


def nearest(word: str, known: Sequence[str], all_of_them: str = "known are") -> str:
    """The known names that are most like ``word``; where none is, ``all_of_them`` and their list."""
    near = get_close_matches(word.lower(), known, 3, 0.4) or list(known)
    return f"perhaps {' or '.join(near)}" if len(near) <= 3 else f"{all_of_them}: {', '.join(near)}"
