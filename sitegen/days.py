"""The day on which the program runs."""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, date, datetime


def today() -> str:
    """This day, ``2026-11-27``: that of ``SOURCE_DATE_EPOCH`` (in UTC) where it is set to a second of the calendar, so
    that what is made from it is the same at any time."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    with suppress(ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(int(epoch), UTC).date().isoformat()
    return date.today().isoformat()
