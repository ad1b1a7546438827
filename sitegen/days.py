"""The day on which the program runs."""

from __future__ import annotations

from datetime import date

from sitegen.stamping import epoch_of_source


def today() -> str:
    """This day, ``2026-11-27``: that of ``SOURCE_DATE_EPOCH`` (in UTC) where it is set to a second of the calendar, so
    that what is made from it is the same at any time."""
    epoch = epoch_of_source()
    return (date.today() if epoch is None else epoch.date()).isoformat()
