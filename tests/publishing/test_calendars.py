"""A plan as a calendar, read back by a program that takes calendars in."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from sitegen.publishing import Timetable
from sitegen.publishing.calendars import PracticeDay, calendar_file

LONG = "Prélude, „sehr langsam“; " * 8 + "\nback\\slash, comma; semicolon"
EVENTS = (
    PracticeDay(
        "pieces/waltz/1", "2026-10-23", "Waltz: Bass line, 20 minutes", LONG, "https://studio.example/pieces/waltz/"
    ),
    PracticeDay("pieces/waltz/2", "2026-10-26", "Waltz: Outer voices, 20 minutes"),
)


def read(timetable: Timetable, events: tuple[PracticeDay, ...] = EVENTS) -> Calendar:
    data = calendar_file("Waltz: plan", events, timetable)
    assert all(len(line) <= 75 for line in data.split(b"\r\n")), "lines are folded at 75 octets"
    assert data.replace(b"\r\n", b"").count(b"\n") == 0
    read = Calendar.from_ical(data)
    assert read.to_ical() == data
    assert not any(event.errors for event in read.walk("VEVENT"))
    return read


def test_whole_days_are_read_back_as_they_are_planned() -> None:
    calendar = read(Timetable("2026-10-23", stamp="2026-10-20"))
    assert calendar["x-wr-calname"] == "Waltz: plan"
    first, second = calendar.walk("VEVENT")
    assert first["summary"] == "Waltz: Bass line, 20 minutes"
    assert first["description"] == LONG
    assert first["url"] == "https://studio.example/pieces/waltz/"
    assert (first.decoded("dtstart"), first.decoded("dtend")) == (date(2026, 10, 23), date(2026, 10, 24))
    assert first["transp"] == "TRANSPARENT"
    assert second.decoded("dtstart") == date(2026, 10, 26)
    assert "description" not in second
    assert first.decoded("dtstamp") == datetime(2026, 10, 20, tzinfo=UTC)


def test_a_time_of_day_has_its_zone_also_when_the_clocks_change() -> None:
    calendar = read(Timetable("2026-10-23", "17:30", "Europe/Vienna", 25, stamp="2026-10-23"))
    (zone,) = calendar.walk("VTIMEZONE")
    assert zone["tzid"] == "Europe/Vienna"
    vienna = ZoneInfo("Europe/Vienna")
    starts = [event.decoded("dtstart") for event in calendar.walk("VEVENT")]
    assert starts == [datetime(2026, 10, day, 17, 30, tzinfo=vienna) for day in (23, 26)]
    assert [start.astimezone(UTC).hour for start in starts] == [15, 16], "summer time ended on the 25th"
    # by what the file itself says of the zone, for programs that know no zones
    own = zone.to_tz(lookup_tzid=False)
    assert [datetime(2026, 10, day, 17, 30, tzinfo=own).utcoffset() for day in (23, 26)] == [
        timedelta(hours=2), timedelta(hours=1),
    ]  # fmt: skip
    assert all(event.decoded("duration") == timedelta(minutes=25) for event in calendar.walk("VEVENT"))


def test_without_a_zone_the_time_is_that_of_the_device() -> None:
    (event, _) = read(Timetable("2026-10-23", "07:05", stamp="2026-10-23")).walk("VEVENT")
    assert event.decoded("dtstart") == datetime(2026, 10, 23, 7, 5)


def test_nothing_rings_unless_it_is_asked_for() -> None:
    assert not read(Timetable("2026-10-23", "17:00", stamp="2026-10-23")).walk("VALARM")
    rings = read(Timetable("2026-10-23", "17:00", alarm=10, stamp="2026-10-23")).walk("VALARM")
    assert [alarm.decoded("trigger") for alarm in rings] == [timedelta(minutes=-10)] * 2
    assert [str(alarm["action"]) for alarm in rings] == ["DISPLAY"] * 2


@pytest.mark.parametrize("zone", ["", "America/New_York"])
def test_the_same_plan_is_the_same_file_and_an_event_keeps_its_identity(zone: str) -> None:
    timetable = Timetable("2026-10-23", "17:00" if zone else "", zone, stamp="2026-10-23")
    data = calendar_file("Waltz", EVENTS, timetable)
    assert calendar_file("Waltz", EVENTS, timetable) == data
    moved = calendar_file("Waltz", [PracticeDay("pieces/waltz/1", "2026-11-02", "Another word")], timetable)
    before, after = (Calendar.from_ical(one).walk("VEVENT")[0] for one in (data, moved))
    assert before["uid"] == after["uid"] != Calendar.from_ical(data).walk("VEVENT")[1]["uid"]
