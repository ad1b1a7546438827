"""Days of practice as an iCalendar file (RFC 5545) that calendar programs take in.

An event has the same identity in every build, so that a plan that is taken in again takes the place of what was there.
A file is said to be written on the day of its content, never on that of the build. Whole days are shown as free; a time
without a zone is that of wherever the device is. Nothing rings unless the teacher asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from sitegen.publishing.nouns import Timetable

if TYPE_CHECKING:
    from icalendar import Event as Component

PRODUCT = "-//sitegen//practice plans//EN"
_OURS = UUID("6f0c1a52-6e0b-4c0e-9d86-0f6f5a1c7b3e")
"""The namespace of the identities of our events (RFC 9562, name-based)."""


@dataclass(frozen=True, slots=True)
class PracticeDay:
    """A day of practice. ``key`` tells it from all other days of all plans, and stays; ``url`` opens it, if known."""

    key: str
    date: str
    summary: str
    description: str = ""
    url: str = ""


def calendar_file(title: str, events: Sequence[PracticeDay], timetable: Timetable, language: str = "en") -> bytes:
    """The file of a calendar called ``title``, the same bytes for the same events."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", title, parameters={"LANGUAGE": language})
    calendar.add("x-wr-calname", title)  # what programs read that came before RFC 7986
    for event in events:
        calendar.add_component(_component(event, timetable))
    if timetable.time and timetable.zone and events:
        years = [date.fromisoformat(event.date).year for event in events]
        calendar.add_missing_timezones(date(min(years), 1, 1), date(max(years) + 1, 12, 31))
    data: bytes = calendar.to_ical()
    return data


def _component(event: PracticeDay, timetable: Timetable) -> Component:
    from icalendar import Alarm
    from icalendar import Event as Component

    made = Component()
    made.add("uid", str(uuid5(_OURS, event.key)))
    made.add("dtstamp", datetime.combine(date.fromisoformat(timetable.stamp), time(), UTC))
    day = date.fromisoformat(event.date)
    if timetable.time:
        zone = ZoneInfo(timetable.zone) if timetable.zone else None
        made.add("dtstart", datetime.combine(day, time.fromisoformat(timetable.time), zone))
        made.add("duration", timedelta(minutes=timetable.minutes))
    else:
        made.add("dtstart", day)
        made.add("dtend", day + timedelta(days=1))
        made.add("transp", "TRANSPARENT")
    made.add("summary", event.summary)
    if event.description:
        made.add("description", event.description)
    if event.url:
        made.add("url", event.url)
    if timetable.alarm is not None and timetable.time:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("trigger", timedelta(minutes=-timetable.alarm))
        alarm.add("description", event.summary)
        made.add_component(alarm)
    return made
