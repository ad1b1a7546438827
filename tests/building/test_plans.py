"""The plan of a piece: made where its teacher asks for one, hers where she wrote one; on the page, on paper, and as a
calendar."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content

BARS = 8
MARCH = musicxml(" | ".join(["C5q D5 E5 C5"] * BARS), " | ".join(["C3e G3 E3 G3 C3 G3 E3 G3"] * BARS))
STUDIO = "title: Small\naddress: https://studio.example/\nrights: optional\n"


def planned(root: Path, *fields: str, studio: str = STUDIO) -> Path:
    """The folder of a studio with one march of eight bars, with these fields in its front matter."""
    content = write_content(root / "content", march=MARCH)
    (content / "studio.yaml").write_text(studio, encoding="utf-8")
    lines = "".join(f"{field}\n" for field in fields)
    front = f"---\ntitle: March\nscore: score.musicxml\nlicence: CC0-1.0\n{lines}---\n\nListen.\n"
    (content / "march" / "piece.md").write_text(front, encoding="utf-8")
    return content


def pages(root: Path) -> dict[str, str]:
    folder = root / "site" / "pieces" / "march"
    return {name: (folder / name).read_text(encoding="utf-8") if (folder / name).is_file() else ""
            for name in ("index.html", "plan.html", "plan.ics")}  # fmt: skip


def test_a_plan_is_made_only_where_it_is_asked_for(tmp_path: Path, build: Build) -> None:
    planned(tmp_path)
    assert not build().findings
    assert 'id="plan"' not in pages(tmp_path)["index.html"]
    assert not pages(tmp_path)["plan.html"]
    planned(tmp_path, "plan: true")
    assert not build().findings
    made = pages(tmp_path)
    assert re.findall(r"<h3>(.*?)</h3>", made["index.html"])[:2] == ["Day 1", "Day 2"]
    assert "once more, 2 min" in made["index.html"]
    assert not made["plan.ics"], "nobody said when it begins"
    assert made["plan.html"].count('class="box"') == made["index.html"].count("data-task=")
    assert "<svg" in made["plan.html"], "a code opens the piece on a phone"


def test_a_written_plan_is_the_one_that_holds(tmp_path: Path, build: Build) -> None:
    planned(tmp_path, "practise: [{day: 4, stage: as written}]", "plan: {days: 3}")
    (finding,) = build().findings
    assert str(finding).endswith("'plan: {begins: 2026-11-30}' gives the written one a calendar file.")
    assert finding.line == 6
    assert re.findall(r"<h3>(.*?)</h3>", pages(tmp_path)["index.html"])[:1] == ["Day 4"]


def test_the_studio_says_how_plans_are_made_and_a_piece_may_say_otherwise(tmp_path: Path, build: Build) -> None:
    planned(tmp_path, "plan: true", studio=f"{STUDIO}plan: {{minutes: 45, returns: []}}\n")
    build()
    assert "45 min" in pages(tmp_path)["index.html"]
    assert "once more" not in pages(tmp_path)["index.html"]
    planned(tmp_path, "plan: {minutes: 30}", studio=f"{STUDIO}plan: {{minutes: 45, returns: []}}\n")
    build()
    assert "30 min" in pages(tmp_path)["index.html"]
    assert "45 min" not in pages(tmp_path)["index.html"]


def test_a_plan_that_begins_on_a_day_is_a_calendar_too(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1764547200")
    planned(tmp_path, "plan: {days: 3, begins: 2026-11-30, time: '17:00', alarm: 5}",
            studio=f"{STUDIO}time_zone: Europe/Vienna\n")  # fmt: skip
    build()
    made = pages(tmp_path)
    assert "Day 1, Monday 30 November" in made["index.html"]
    assert "Day 2, Wednesday 2 December" in made["plan.html"]
    assert 'href="plan.ics" download' in made["index.html"]
    events = Calendar.from_ical(made["plan.ics"]).walk("VEVENT")
    assert [event.decoded("dtstart").date() for event in events][:3] == [
        date(2026, 11, 30), date(2026, 12, 2), date(2026, 12, 4),
    ]  # fmt: skip
    assert str(events[0]["url"]) == "https://studio.example/pieces/march/"
    assert events[0].decoded("dtstamp").date() == date(2025, 12, 1)
    assert str(events[0].walk("VALARM")[0]["trigger"].to_ical().decode()) == "-PT5M"


def test_a_written_plan_has_a_calendar_where_its_first_day_is_said(tmp_path: Path, build: Build) -> None:
    planned(tmp_path, "practise: [{day: 1, stage: as written}, {day: 4, stage: as written, bars: 2-3}]",
            "plan: {begins: 2026-11-30}")  # fmt: skip
    assert not build().findings
    events = Calendar.from_ical(pages(tmp_path)["plan.ics"]).walk("VEVENT")
    assert [event.decoded("dtstart") for event in events] == [date(2026, 11, 30), date(2026, 12, 3)]
    assert str(events[1]["summary"]) == "March: As written (Bars 2 to 3)"


def test_two_builds_of_a_plan_are_the_same(tmp_path: Path, build: Build) -> None:
    planned(tmp_path, "plan: {begins: 2026-11-30}")
    build()
    build(site=tmp_path / "again", cache="another")
    assert tree_of(tmp_path / "site") == tree_of(tmp_path / "again")


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ("plan: {days: 9}", "field 'days' cannot be used. Expected: days a week, from 1 to 7."),
        ("plan: {minuets: 20}", "field 'minuets' is not known. Perhaps 'minutes'; known are:"),
        ("plan: {begins: tomorrow}", "field 'begins' cannot be used. Expected: a day such as 2026-11-30."),
        ("plan: {time: '25:00'}", "field 'time' cannot be used. Expected: a time of day such as '17:00'."),
        (
            "plan: often",
            "field 'plan' cannot be used. Expected: fields such as {days: 5, minutes: 20}; for a piece true will do.",
        ),
        ("plan: {alarm: 5}", "'alarm' rings for no time of day."),
        ("plan: {minutes: 5, returns: [0]}", "field 'returns' cannot be used. Expected: days in brackets: [1, 3, 7]."),
    ],
)
def test_each_mistake_in_a_plan_has_a_line(tmp_path: Path, build: Build, fields: str, told: str) -> None:
    planned(tmp_path, fields)
    (finding,) = build().findings
    assert told in str(finding)
    assert "piece.md:5: " in str(finding)
