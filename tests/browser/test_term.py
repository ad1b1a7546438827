"""A term in the life of a studio, from a score to a colleague's ladder beside one's own: what a teacher is told and
what a pupil sees at each step. All is done by the command line and in the browser, as they do it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page, expect

from sitegen.cli import main
from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.building.conftest import theme_without_sounds  # noqa: F401 - a fixture that this uses
from tests.building.studio import musicxml, tree_of

Say = Callable[..., str]

TUNE = (
    "E5q G5 E5q C5 | D5q F5 D5q B4 | C5q E5 A5q G5 | F5q E5 D5h | E5q G5 E5q C5 | A5q G5 F5q A5 | G5q E5 D5q B4 | C5w"
)
BASS = (
    "C3e G3 E4 G3 C3 G3 E4 G3 | G2e F3 D4 F3 G2 F3 D4 F3 | A2e E3 C4 E3 C3 G3 E4 G3 | F2e C3 A3 C3 G2 D3 B3 D3 | "
    "C3e G3 E4 G3 C3 G3 E4 G3 | F2e C3 A3 C3 D3 A3 F4 A3 | G2e E3 C4 E3 G2 F3 B3 F3 | C3w"
)
OWN = """adjustments:
  - {at: 'bar 3, beat 3, right hand, A5', function: neighbour note}
  - {stage: outer voices, title: Two singers, listen: Sing the lower one.}
stages: [bass line, outer voices, simple tune over blocked chords, as written]
plan: {days: 3, minutes: 15, begins: 2026-11-30}
composer: Ada Sternway
composer_died: living
encoder: Ada Sternway
"""


@pytest.fixture
def say(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Say:
    """Gives a command in the folder of the test, and has what it says; a fault ends the test."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "cache"))

    def saying(line: str) -> str:
        result = CliRunner().invoke(main, [part.strip("'") for part in re.findall(r"'[^']*'|\S+", line)])
        assert result.exit_code == 0, result.output
        return result.output

    return saying


def change(file: Path, what: str, to: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert what in text, text
    file.write_text(text.replace(what, to), encoding="utf-8")


def drop(file: Path, *fields: str) -> None:
    """Takes fields out of a draft, each with the lines below it."""
    text = file.read_text(encoding="utf-8")
    for field in fields:
        text = re.sub(rf"^{field}:.*\n(?:  .*\n)*", "", text, flags=re.MULTILINE)
    file.write_text(text, encoding="utf-8")


def opened(open_page: OpenPage, address: str, day: str, **options: object) -> Page:
    """A page as it is on a day."""
    page = open_page("/".join(address.split("/")[:3]) + "/about/index.html", **options)
    page.clock.set_fixed_time(f"{day}T16:00:00")
    page.goto(address)
    return page


def test_a_term_in_the_life_of_a_studio(open_page: OpenPage, tmp_path: Path, say: Say) -> None:
    # She begins: an empty folder, and a score of her own.
    score = musicxml(TUNE, BASS).replace("<work-title>All<", "<work-title>Evening Song<")
    (tmp_path / "evening.musicxml").write_text(score.replace("<movement-title>All</movement-title>", ""))
    assert "wrote ada/studio.yaml" in say("start --content ada")
    told = say("start evening.musicxml --content ada --licence CC0-1.0 --source 'Written by Ada'")
    assert "wrote ada/evening-song/piece.md" in told
    piece = tmp_path / "ada" / "evening-song" / "piece.md"
    assert "  - {day: 1, stage: bass line}" in piece.read_text(), "a plan to begin with"
    studio = tmp_path / "ada" / "studio.yaml"
    change(studio, "title: My studio", "title: Ada's studio\naddress: https://ada.example/piano/\nrights: required")

    # She adjusts what was understood, where the program hears otherwise than she does, and asks for a plan.
    assert "bar 3, right hand: appoggiatura A5 (beat 3)" in say("analyse evening.musicxml")
    drop(piece, "practise", "adjustments")
    change(piece, "licence:", f"{OWN}licence:")
    told = say("analyse ada/evening-song")
    assert "bar 3, right hand: neighbour note A5 (beat 3)" in told
    assert "Two singers (outer-voices)" in told
    assert say("check ada").endswith("1 piece checked, 0 faults\n")

    # She sets work: for a group, and for a pupil with small hands.
    say("assign tuesdays --content ada")
    assert "looks like a person's name" not in say("assign moss-7 --content ada")
    set_for = tmp_path / "ada" / "assignments" / "moss-7.md"
    drop(set_for, "begins", "ends", "set")
    change(set_for, "code: moss-7", "begins: 2026-11-30\nends: 2026-12-06\nhand: small\nset:\n"
           "  - {piece: evening-song, stage: two singers, bars: 1-4, day: 1}\n"
           "  - {piece: evening-song, stage: simple tune over blocked chords, day: 2, note: slowly}\n"
           "code: moss-7")  # fmt: skip
    change(set_for, "A word to moss-7.", "Roll what is wide, *never* force it.")

    # She publishes.
    told = say("build ada -o site -j 0")
    assert "1 piece built into site, 0 faults" in told
    week = re.findall(r"listed nowhere, .*: site/(for/\w+/index\.html)", told)[0]
    with serving(tmp_path / "site") as address:
        ours = _sees_the_week(open_page, address + week)
        pupil = _practises(open_page, ours)
        _published(open_page, address)

        # She hands the piece on; her colleague brings it in, and makes a ladder of his own.
        assert "wrote evening.zip: evening-song, 2 files" in say("pack ada/evening-song -o evening.zip")
        say("start --content bruno")
        change(tmp_path / "bruno" / "studio.yaml", "title: My studio", "title: Bruno's studio")
        assert "wrote bruno/evening-song: version 1 of 'Evening Song'" in say("unpack evening.zip --content bruno")
        here, there = (tree_of(tmp_path / who / "evening-song") for who in ("ada", "bruno"))
        assert here == there
        theirs = tmp_path / "bruno" / "evening-song" / "piece.md"
        change(theirs, ", simple tune over blocked chords", "")
        change(theirs, "title: Two singers", "title: Duet")
        assert say("check bruno").endswith("1 piece checked, 0 faults\n")

        # She joins his library to hers. What was published and set stays where it was.
        before = tree_of(tmp_path / "site" / "pieces" / "evening-song" / "stages")
        change(studio, "rights:", "libraries:\n  - {name: bruno, place: ../bruno}\nrights:")
        told = say("build ada -o site -j 0")
        assert "2 pieces built into site, 0 faults" in told
        assert week in told
        after = tree_of(tmp_path / "site" / "pieces" / "evening-song" / "stages")
        assert {path for path in before if path[-5:] != ".html" and after[path] != before[path]} == set()
        pupil.goto(ours)
        pupil.wait_for_selector("#report-part:not([hidden])")
        assert pupil.is_checked("input[data-task] >> nth=0"), "what was ticked is still ticked"
        _stands_side_by_side(open_page, address)


def _sees_the_week(open_page: OpenPage, address: str) -> str:
    """The teacher's page of all that is set, which leads to that of moss-7; its address."""
    page = opened(open_page, address, "2026-12-01")
    page.wait_for_selector("#show-all:not([hidden])")
    page.click("#show-all")
    assert page.locator(".week-part:visible h2").all_inner_texts() == ["moss-7", "tuesdays"]
    page.click("h2 a:text-is('moss-7')")
    page.wait_for_selector("#set")
    return page.url


def _practises(open_page: OpenPage, address: str) -> Page:
    """The pupil on a phone, on the second day of the week."""
    granted = ["clipboard-read", "clipboard-write"]
    page = opened(open_page, address, "2026-12-01", permissions=granted, has_touch=True, is_mobile=True)
    page.wait_for_selector("#set-today section")
    assert page.inner_text("#set-today h2") == "Today: Tuesday 1 December"
    assert "Evening Song: Simple tune over blocked chords, slowly" in page.inner_text("#set-today")
    assert "Roll what is wide, never force it." in page.inner_text("#set")
    assert page.locator("#days section h2").all_inner_texts() == ["Monday 30 November"]
    page.tap("#set-today a.to-music")
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    assert page.inner_text("h1") == "Evening Song"
    hands = page.text_content("#stage-hands") or ""
    assert "tenth" not in hands, "the blocks lie under a small hand"
    page.goto(address)
    page.wait_for_selector("#report-part:not([hidden])")
    for tick in page.locator("input[data-task]").all():
        tick.tap()
    page.fill("#own-word", "Bar 4 is hard.")
    page.tap("#copy")
    expect(page.locator("#copy-said")).to_have_text("Copied. Paste it into a message.")
    assert page.evaluate("navigator.clipboard.readText()").splitlines() == [
        "moss-7, Monday 30 November to Sunday 6 December",
        "Done:",
        "- Evening Song: Two singers (Bars 1 to 4)",
        "- Evening Song: Simple tune over blocked chords, slowly",
        "Bar 4 is hard.",
    ]
    return page


def _published(open_page: OpenPage, address: str) -> None:
    """What everybody sees: the piece as she reads it, its plan, and nothing of what is set."""
    page = open_page(f"{address}index.html", viewport={"width": 1280, "height": 800})
    assert page.locator("#shelf h3").all_inner_texts() == ["Evening Song"]
    assert "moss-7" not in page.content()
    page.click("#shelf a")
    page.wait_for_selector("#player:not([hidden])")
    assert page.locator(".ladder .name").all_text_contents()[:2] == ["Bass line", "Two singers"]
    assert page.locator("a[href$='plan.ics']").count() == 1
    assert page.locator("#plan h3").first.text_content() == "Day 1, Monday 30 November"
    page.goto(f"{address}pieces/evening-song/stages/outer-voices/index.html")
    assert "Sing the lower one." in page.inner_text(".front summary")


def _stands_side_by_side(open_page: OpenPage, address: str) -> None:
    """Both ladders of the work, and both libraries in the gallery."""
    page = open_page(f"{address}index.html", viewport={"width": 1280, "height": 800})
    page.wait_for_selector("#finder:not([data-waits])")
    page.click("#open-filters")
    page.select_option("#by-library", "bruno-s-studio")
    expect(page.locator("#shelf .by")).to_have_text("Ada Sternway · From the library of Bruno's studio")
    page.click("#shelf a")
    page.wait_for_selector("#player:not([hidden])")
    assert "/pieces/bruno--evening-song/" in page.url
    assert "From the library of Bruno's studio" in page.inner_text("#rights")
    page.click("text=Other ladders of this piece, side by side")
    expect(page.locator("h1")).to_have_text("Evening Song: ladders side by side")
    heads = page.locator(".beside th").all_inner_texts()
    assert ["Ada's studio" in heads[0], "Bruno's studio" in heads[1]] == [True, True]
    lines = page.locator(".beside tbody tr").all()
    rows = [[cell.inner_text() for cell in line.locator("td p:not(.whose)").all()] for line in lines]
    assert [[re.sub(r" \d+ notes$", "", cell) for cell in row] for row in rows] == [
        ["Bass line", "Bass line"],
        ["Two singers", "Duet"],
        ["Simple tune over blocked chords", "No such stage here."],
        ["As written", "As written"],
    ]
