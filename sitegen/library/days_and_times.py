"""Days, times of day and time zones as a teacher writes them."""

from __future__ import annotations

import re
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})")
FIRST_YEAR, LAST_YEAR = 1970, 2100
"""Years that days of practice lie in; what programs know of time zones ends not long after."""


def read_day(value: Any) -> date:
    """A day of the calendar, written ``2026-11-30``. Raises ``ValueError``."""
    found = _DAY.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None or not FIRST_YEAR <= int(found[1]) <= LAST_YEAR:
        raise ValueError("a day is written as 2026-11-30")
    return date(int(found[1]), int(found[2]), int(found[3]))


def read_clock(value: Any) -> str:
    """A time of day as ``17:00``; YAML makes a number of an unquoted one, in sixties. Raises ``ValueError``."""
    if isinstance(value, int) and not isinstance(value, bool):
        value = f"{value // 60}:{value % 60:02}"
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None or int(found[1]) > 23 or int(found[2]) > 59:
        raise ValueError("a time of day is written as 17:00")
    return f"{int(found[1]):02}:{found[2]}"


def read_zone(value: Any) -> str:
    """The name of a time zone that is known here. Raises ``ValueError``."""
    try:
        return ZoneInfo(value.strip()).key
    except (AttributeError, OSError, LookupError, ValueError) as error:
        raise ValueError("a time zone is named as Europe/Vienna") from error
