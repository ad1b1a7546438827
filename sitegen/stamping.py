"""The time that a file is said to be written at: never the clock's, or the same content would give other bytes."""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, datetime


def epoch_of_source() -> datetime | None:
    """The time in ``SOURCE_DATE_EPOCH`` (UTC); None where it is not set to a second of the calendar."""
    with suppress(ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH", "")), UTC)
    return None


def stamp_of_files(otherwise: str) -> str:
    """The day of ``SOURCE_DATE_EPOCH``, such as ``2026-11-27``; ``otherwise`` where it is not set."""
    epoch = epoch_of_source()
    return otherwise if epoch is None else epoch.date().isoformat()
