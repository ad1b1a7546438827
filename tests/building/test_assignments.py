"""What a teacher sets: a page for each at an address that nobody guesses, and that nothing of the site gives away."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from sitegen.building.checking import check_content
from sitegen.building.publication import read_manifest
from sitegen.building.store import Store
from sitegen.checking.assignments import looks_like_a_name
from sitegen.checking.validations import check_library
from sitegen.library import load_library
from sitegen.publishing.qr import qr_svg
from sitegen.unlisted import folder_of
from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content, write_piece

BARS = 8
MARCH = musicxml(" | ".join(["C5q D5 E5 C5"] * BARS), " | ".join(["C3e G3 E4 G3 C3 G3 E4 G3"] * BARS))
SECRET = "a-secret-of-the-tests-0123456789-abcdef"
WEEK = ["begins: 2026-11-30", "ends: 2026-12-06"]


def studio(root: Path, secret: str = SECRET) -> Path:
    """A studio with a march of eight bars and a waltz of one, and with a secret."""
    content = write_content(root / "content", march=MARCH, waltz=musicxml("E5h.", "C3h.", "3/4"))
    (content / "studio.yaml").write_text(
        "title: Small\naddress: https://studio.example/a/\nrights: optional\n", encoding="utf-8"
    )
    (content / "assignments").mkdir(exist_ok=True)
    (content / "assignments" / "secret.txt").write_text(secret, encoding="utf-8")
    return content


def assign(content: Path, name: str, *fields: str, word: str = "Sing the bass.") -> Path:
    """An assignment with these fields, which begin on line 2."""
    file = content / "assignments" / f"{name}.md"
    file.write_text("---\n" + "".join(f"{field}\n" for field in fields) + f"---\n\n{word}\n", encoding="utf-8")
    return file


def place(root: Path, name: str) -> Path:
    return root / "site" / folder_of(SECRET, "assignment", name)


def page(root: Path, name: str) -> str:
    file = place(root, name) / "index.html"
    return file.read_text(encoding="utf-8") if file.is_file() else ""


def week(root: Path) -> str:
    return (root / "site" / folder_of(SECRET, "week") / "index.html").read_text(encoding="utf-8")


def test_a_page_has_its_days_its_links_its_word_and_its_code(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march, stage: bass line, bars: 1-4, note: softly}]")
    outcome = build()
    assert not outcome.findings
    text = page(tmp_path, "blue-3")
    assert "Set for blue-3" in text
    assert "From Monday 30 November to Sunday 6 December" in text
    assert "<p>Sing the bass.</p>" in text
    assert re.findall(r'data-date="(.*?)"', text) == [
        "2026-11-30", "2026-12-01", "2026-12-02", "2026-12-03", "2026-12-04",
    ]  # fmt: skip
    links = set(re.findall(r'class="to-music" href="(.*?)"', text))
    assert links >= {"../../pieces/march/stages/bass-line/index.html#bars-1-4"}
    for link in links:
        assert (place(tmp_path, "blue-3") / link.partition("#")[0]).resolve().is_file()
    assert text.count('class="qr"') == 1
    assert qr_svg(f"https://studio.example/a/{folder_of(SECRET, 'assignment', 'blue-3')}") in text
    assert "It is on a public site all the same" in text
    assert "softly" in text
    assert outcome.week == folder_of(SECRET, "week") + "index.html"


def test_a_piece_of_another_library_is_set_by_the_name_of_its_address(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    write_content(tmp_path / "anna", galop=musicxml("C5q D5 E5 C5", "C3w"))
    with (content / "studio.yaml").open("a", encoding="utf-8") as file:
        file.write("libraries:\n  - {name: anna, place: ../anna}\n")
    assign(content, "blue-3", *WEEK, "set: [{piece: anna--galop, stage: bass line}]")
    assert not build().findings
    assert "pieces/anna--galop/stages/bass-line/index.html" in page(tmp_path, "blue-3")


def test_nothing_that_is_listed_tells_where_it_is(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: bass line}]")
    build()
    site = tmp_path / "site"
    folders = [one.name for one in (site / "for").iterdir() if one.is_dir()]
    assert len(folders) == 3, "the assignment, the march for a small hand, and the week"
    assert all(len(name) == 26 for name in folders)
    for file in site.rglob("*"):
        if file.is_file() and "for" not in file.relative_to(site).parts:
            data = file.read_bytes()
            assert b"blue-3" not in data, file
            assert not [name for name in folders if name.encode() in data], file
    assert "noindex" in page(tmp_path, "blue-3")
    assert "no-referrer" in page(tmp_path, "blue-3")
    assert "blue-3" not in (site / "for" / "index.html").read_text(), "what a host shows of the folder"


def test_the_manifest_still_tells_whether_the_site_is_whole(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march}]")
    build()
    site = tmp_path / "site"
    manifest = read_manifest(site)
    assert manifest is not None
    assert set(manifest.files) == set(tree_of(site)) - {"manifest.json"}
    unlisted = json.loads((site / "manifest.json").read_bytes())["unlisted"]
    own = place(tmp_path, "blue-3") / "index.html"
    listed = unlisted[hashlib.sha256(own.relative_to(site).as_posix().encode()).hexdigest()]
    assert listed["sha256"] == hashlib.sha256(own.read_bytes()).hexdigest()
    own.unlink()
    build()
    assert own.is_file(), "what is gone is put back"
    (content / "assignments" / "blue-3.md").unlink()
    build()
    assert not (site / "for").exists(), "and what is set no more goes"
    assert "unlisted" not in json.loads((site / "manifest.json").read_bytes())


def test_the_address_stays_when_the_page_changes_and_is_another_under_another_secret(
    tmp_path: Path, build: Build
) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march}]")
    build()
    assign(content, "blue-3", *WEEK, "set: [{piece: waltz}]", word="Now the waltz.")
    build()
    assert "Now the waltz." in page(tmp_path, "blue-3")
    (content / "assignments" / "secret.txt").write_text("another-secret-of-the-tests-0123456789")
    build()
    assert not page(tmp_path, "blue-3")
    assert len(list((tmp_path / "site" / "for").iterdir())) == 3


@pytest.mark.parametrize("secret", ["", "short", "with spaces " * 5])
def test_without_a_secret_nothing_is_set_and_what_stands_stays(tmp_path: Path, build: Build, secret: str) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march}]")
    build()
    before = tree_of(tmp_path / "site")
    file = content / "assignments" / "secret.txt"
    file.write_text(secret) if secret else file.unlink()
    (fault,) = build().errors
    assert str(fault).startswith(str(file))
    assert "sitegen assign" in fault.remedy
    assert tree_of(tmp_path / "site") == before


def test_stages_are_made_again_for_the_hand_and_the_piece_itself_stays(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    build()
    published = tree_of(tmp_path / "site" / "pieces")
    assign(content, "blue-3", *WEEK, "hand: a fifth", "set: [{piece: march, stage: outer voices}]")
    assign(content, "blue-4", *WEEK, "hand: a fifth", "set: [{piece: march, stage: bass line}]")
    assert not build().errors
    assert tree_of(tmp_path / "site" / "pieces") == published
    (folder,) = {link for name in ("blue-3", "blue-4")
                 for link in re.findall(r"\.\./\.\./(for/[a-z2-7]+)/stages/", page(tmp_path, name))}  # fmt: skip
    own = json.loads((tmp_path / "site" / folder / "analysis.json").read_bytes())

    def lies_under_a_fifth(made: Any) -> bool:
        """Whether what is wider is rolled, never struck."""
        hands = [stage["hands"][hand] for stage in made["stages"][:-1] for hand in ("left", "right")]
        rolled = [[p["semitones"] for p in hand["places"] if p["remedy"] == "rolled"] for hand in hands]
        return all(hand["widest"] <= 7 or hand["widest"] in there for hand, there in zip(hands, rolled, strict=True))

    assert lies_under_a_fifth(own)
    assert not lies_under_a_fifth(json.loads(published["march/analysis.json"]))
    printed = (tmp_path / "site" / folder / "print.html").read_text()
    assert printed.count('class="qr"') == len(own["stages"])


def test_days_that_are_said_are_those_days(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march, stage: as written, day: 6}, {piece: waltz, day: 1}]")
    build()
    days = re.findall(r'data-task="(\S+) \S+" data-told="(.*?)"', page(tmp_path, "blue-3"))
    assert ("2026-12-05", "March: As written") in days
    assert {day for day, told in days if told.startswith("Waltz")} == {"2026-11-30"}


def test_a_calendar_has_its_days(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "plan: {days: 3, minutes: 15, time: '16:15'}", "set: [{piece: march}]")
    build()
    data = (place(tmp_path, "blue-3") / "practice.ics").read_bytes()
    events = Calendar.from_ical(data).walk("VEVENT")
    assert [event.decoded("dtstart").date() for event in events] == [date(2026, 11, 30), date(2026, 12, 2),
                                                                     date(2026, 12, 4)]  # fmt: skip
    assert str(events[0]["url"]) == f"https://studio.example/a/{folder_of(SECRET, 'assignment', 'blue-3')}"


def test_the_page_of_the_week_leads_to_all_that_is_set(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march}]")
    assign(content, "tuesday", "begins: 2026-12-07", "ends: 2026-12-10", "code: duo 2", "set: [{piece: waltz}]")
    build()
    text = week(tmp_path)
    for name, code in (("blue-3", "blue-3"), ("tuesday", "duo 2")):
        assert f'<a href="../../{folder_of(SECRET, "assignment", name)}index.html">{code}</a>' in text
    assert re.findall(r'data-begins="(.*?)"', text) == ["2026-11-30", "2026-12-07"]


FAULTS = {
    "no piece of this name": ([*WEEK, "set: [{piece: marhc}]"], ":4: there is no piece 'marhc'. Perhaps: march."),
    "no stage of this name": ([*WEEK, "set:", "  - {piece: march}", "  - {piece: march, stage: bas line}"], ":6: "),
    "bars that are not there": ([*WEEK, "set: [{piece: march, bars: 7-9}]"], ":4: the score has no bar 9"),
    "it ends before it begins": (["begins: 2026-12-06", "ends: 2026-11-30", "set: [{piece: march}]"],
                                 ":3: it ends on 2026-11-30, before it begins"),
    "a day after the last": ([*WEEK, "set: [{piece: march, day: 8}]"], ":4: day 8 is after the last, which is day 7"),
    "no day of the calendar": (["begins: '2026-11-31'", "ends: 2026-12-06", "set: [{piece: march}]"],
                               ":2: field 'begins' cannot be used. Expected: a day such as 2026-11-30."),
    "nothing is set": (WEEK, ":2: field 'set' is missing"),
    "an empty list": ([*WEEK, "set: []"], ":4: field 'set' cannot be used"),
    "a field that is not known": ([*WEEK, "set: [{piece: march, stge: tune}]"], ":4: field 'stge' is not known."),
    "a hand that nobody has": ([*WEEK, "hand: huge", "set: [{piece: march}]"], ":4: field 'hand' cannot be used."),
    "a piece that is at fault": ([*WEEK, "set: [{piece: galop}]"], ":4: the piece 'galop' is at fault"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_one_line_and_hurts_only_its_own_assignment(tmp_path: Path, build: Build, fault: str) -> None:
    content = studio(tmp_path)
    if "galop" in str(FAULTS[fault]):
        write_piece(content, "galop", "<score-partwise>")
    assign(content, "good", *WEEK, "set: [{piece: march, stage: bass line}]")
    fields, told = FAULTS[fault]
    file = assign(content, "odd", *fields)
    before = tree_of(content)
    outcome = build()
    (line,) = [str(one) for one in outcome.errors if "galop/" not in one.file]
    assert line.startswith(f"{file}{told}"), line
    assert "Set for good" in page(tmp_path, "good")
    assert not page(tmp_path, "odd")
    assert {"march", "waltz"} <= set(outcome.built)
    assert check_content(content, Store(tmp_path / "cache"), lambda *_: None).findings == outcome.findings
    assert tree_of(content) == before


def test_one_at_fault_keeps_its_last_good_page_with_the_piece_that_it_opens(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: bass line}]")
    build()
    before = tree_of(tmp_path / "site" / "for")
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: nothing}]")
    assert len(build().errors) == 1
    kept = tree_of(tmp_path / "site" / "for")
    week_page = folder_of(SECRET, "week").removeprefix("for/") + "index.html"
    assert {path for path in before if before[path] != kept.get(path)} == {week_page}


@pytest.mark.parametrize("word", ["[hear](bars:1-4)", "![a hand](hand.png)", "[the waltz](../waltz/piece.md)"])
def test_a_word_leads_to_the_web_alone(tmp_path: Path, build: Build, word: str) -> None:
    content = studio(tmp_path)
    file = assign(content, "blue-3", *WEEK, "set: [{piece: march}]", word=f"Listen.\n\n{word}")
    (fault,) = build().errors
    assert str(fault).startswith(f"{file}:9: the ")


def test_a_week_before_the_piece_was_there_is_told_as_a_slip_of_the_year(tmp_path: Path) -> None:
    content = studio(tmp_path)
    front = content / "march" / "piece.md"
    front.write_text(front.read_text().replace("---\n", "---\nadded: 2026-11-28\n", 1))
    file = assign(content, "blue-3", "begins: 2025-11-30", "ends: 2025-12-06", "set: [{piece: march}]")
    assign(content, "red-3", *WEEK, "set: [{piece: march}]")
    told = [str(finding) for finding in check_library(load_library(content))]
    what = "it ends on 2025-12-06, and 'march' came into the library on 2026-11-28"
    assert told == [f"{file}:4: warning: {what}. Look at the years of 'begins' and 'ends'."]


@pytest.mark.parametrize("code", ["Anna", "anna-2", "lea.m", "Thorben", "Müller", "M. Sandvik", "Tuesday: Ingrid"])
def test_a_code_that_looks_like_a_name_is_told(tmp_path: Path, build: Build, code: str) -> None:
    content = studio(tmp_path)
    assign(content, "x1", *WEEK, f"code: '{code}'", "set: [{piece: march}]")
    (finding,) = build().findings
    assert (finding.severity, finding.line) == ("warning", 4)
    assert "looks like a person's name" in str(finding)
    assert page(tmp_path, "x1"), "it is a warning: the teacher decides"


NAMES = [
    "Zoë", "zoë-2", "ZOË", "zoe\u0308", "jose", "José-3", "François", "łukasz 4", "Siobhán", "søren_2", "Nguyễn",
    "jürgen", "ayşe", "priya", "noa-7", "yuki", "Jean-Luc", "O'Brien", "anna_b", "MARIA", "Emma S.", "Мария", "мария-3",
    "Ελένη", "小明", "さくら", "محمد", "נועה", "민준",
]  # fmt: skip
CODES = [
    "otter", "B3", "moss-7", "heron 2", "blue-3", "B7", "group 2", "Tuesday", "Group B", "ABC", "duo", "k-14", "Level4",
    "oak", "lesson-12", "Tuesday 16:30", "Klasse 4b", "Anfänger", "grün-2", "XII", "c-dur", "forte", "marzipan-1",
    "janitor", "tomato", "maximum", "solfege", "青-3", "7", "2026",
]  # fmt: skip


@pytest.mark.parametrize("code", NAMES)
def test_names_of_many_languages_are_names(code: str) -> None:
    assert looks_like_a_name(code)


@pytest.mark.parametrize("code", CODES)
def test_a_code_is_none(code: str) -> None:
    assert not looks_like_a_name(code)


def test_a_changed_sentence_makes_no_piece_again_and_a_build_of_the_same_writes_nothing(
    tmp_path: Path, build: Build
) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: bass line}]")
    build()
    site = tmp_path / "site"
    before = {path: path.stat().st_ino for path in site.rglob("*") if path.is_file()}
    build()
    assert {path: path.stat().st_ino for path in site.rglob("*") if path.is_file()} == before
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: bass line}]", word="Or the tune.")
    build()
    after = {path: path.stat().st_ino for path in site.rglob("*") if path.is_file()}
    changed = {path.relative_to(site).as_posix() for path in after if after[path] != before.get(path)}
    own = folder_of(SECRET, "assignment", "blue-3")
    assert changed == {"manifest.json", f"{own}index.html", f"{own}offline.json"}
    write_piece(content, "waltz", musicxml("E5h.", "C3h.", "3/4"), "Another sentence.")
    build()
    last = {path: path.stat().st_ino for path in site.rglob("*") if path.is_file()}
    assert all(last[path] == after[path] for path in after if "for" in path.relative_to(site).parts)


def test_two_builds_are_the_same_whatever_was_there_before(tmp_path: Path, build: Build) -> None:
    content = studio(tmp_path)
    build()
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march}]")
    build()
    build(site=tmp_path / "again", cache="another")
    assert tree_of(tmp_path / "site") == tree_of(tmp_path / "again")
