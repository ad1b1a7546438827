"""The library that comes with the program, built as a teacher builds it, and used as a pupil uses it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import note_marks, open_stage, sounding_at, until, wait_for_marks


@pytest.fixture(scope="session")
def pieces(demo_root: Path) -> list[dict[str, Any]]:
    site = json.loads((demo_root / "site.json").read_text(encoding="utf-8"))
    found: list[dict[str, Any]] = site["pieces"]
    assert found
    return found


def test_every_drawing_is_well_formed(demo_root: Path) -> None:
    drawings = sorted(demo_root.rglob("*.svg"))
    assert len(drawings) > 50
    for place in drawings:
        ElementTree.fromstring(place.read_text(encoding="utf-8"))


def test_every_address_of_the_site_names_a_file(demo_root: Path, pieces: list[dict[str, Any]]) -> None:
    for piece in pieces:
        for stage in piece["stages"]:
            files = [stage["url"], stage["midi"], stage["musicxml"], stage["timing"]]
            files += [file for layout in stage["svg"] for file in layout["files"]]
            for file in [piece["url"], piece["analysis"], *files]:
                assert (demo_root / file).is_file(), file


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
def test_gallery_leads_to_every_piece(
    open_page: OpenPage, demo: str, pieces: list[dict[str, Any]], viewport: dict[str, int]
) -> None:
    page = open_page(f"{demo}index.html", viewport=viewport)
    assert page.locator("#shelf .leaf").count() == len(pieces)
    titles = [piece["title"] for piece in pieces]
    title = next(one for one in titles if titles.count(one) == 1)  # two libraries may have the same work
    page.fill("#search", title.lower())
    expect(page.locator("#shelf .leaf:visible")).to_have_count(1)
    page.click("#shelf .leaf:visible a")
    page.wait_for_selector("#player:not([hidden])")
    assert page.inner_text("h1") == title


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_piece_is_played_and_its_stage_changed(
    open_page: OpenPage,
    demo: str,
    demo_root: Path,
    pieces: list[dict[str, Any]],
    viewport: dict[str, int],
    number: int,
) -> None:
    piece = pieces[number]
    first, written = piece["stages"][0], piece["stages"][-1]
    page = open_page(demo + first["url"], viewport=viewport)
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    for _ in range(4):
        page.keyboard.press("+")
    note_marks(page)
    page.click("#play")
    before = len(wait_for_marks(page, 2))
    open_stage(page, written["slug"])
    until(page, f"document.getElementById('piece').dataset.stage === '{written['slug']}'")
    heard = wait_for_marks(page, before + 4)
    timings = [json.loads((demo_root / stage["timing"]).read_text()) for stage in (first, written)]
    for mark in heard:
        assert any(set(mark["ids"]) == sounding_at(timing, mark["at"]) for timing in timings)
    times = [mark["at"] for mark in heard]
    assert times == sorted(times)
    until(page, "document.querySelector('.sounding[data-note]') !== null")
    assert page.locator(".bar-ground.here").count() == 1
