"""Sizes as they are written: ``500MB``, ``4 GB``, or a number of bytes."""

from __future__ import annotations

import re

_SIZE = re.compile(r"(\d+(?:\.\d+)?)\s*([kMGT]?)B?", re.IGNORECASE)


def read_size(said: object) -> int:
    """The bytes that ``said`` means, a kilobyte being a thousand. Raises ``ValueError`` for what is no size."""
    found = None if isinstance(said, bool) else _SIZE.fullmatch(str(said).strip())
    if found is None:
        raise ValueError(f"'{said}' is no size; write such as 500MB or 4GB.")
    return int(float(found[1]) * 1000 ** ("kmgt".find(found[2].lower() or "-") + 1))
