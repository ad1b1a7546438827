"""On paper: a stage or the whole ladder, plan and words, a code that opens the stage, no system cut by the page's edge;
and the same from the page of a piece by the browser's own printing."""

from __future__ import annotations

import io
import re

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import until_stage


def test_the_whole_ladder_is_printed_stage_by_stage(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html", viewport=WIDE)
    assert page.locator(".printed h2").all_inner_texts() == ["Bass line", "Block chords", "As written"]
    page.emulate_media(media="print")
    assert page.is_hidden(".masthead")
    assert page.evaluate("getComputedStyle(document.querySelector('.paper .cut')).breakInside") == "avoid"
    # a stage begins where the one before it ends, and its head has a system with it
    first, second = _sheets(page)
    assert ["Bass line" in first, "Block chords" in first, "As written" in second] == [True, True, True]
    assert page.evaluate("getComputedStyle(document.querySelector('.printed-head')).breakAfter") == "avoid"


def test_one_stage_is_one_sheet_with_its_code(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html#as-written", viewport=WIDE)
    assert page.locator(".printed:visible h2").all_inner_texts() == ["As written"]
    assert page.locator(".printed-head .code:visible svg path").count() == 1
    assert page.locator(".codes .code:visible figcaption").all_inner_texts() == ["Bars 1 to 8"]
    page.emulate_media(media="print")
    for code in page.locator(".code:visible svg").all():
        place = code.bounding_box()
        assert place is not None
        assert place["width"] / 96 * 25.4 >= 20
    page.emulate_media(media="null")
    assert len(_sheets(page)) == 1
    page.click(".all")
    assert page.locator(".printed:visible").count() == 3
    assert page.is_hidden(".all")


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
def test_staves_are_as_large_as_in_printed_music(open_page: OpenPage, trial: str, sheet: str) -> None:
    across = {"A4": 210, "Letter": 215.9}[sheet]
    margins = 2 * 15
    width = round((across - margins) / 25.4 * 96)
    page = open_page(f"{trial}pieces/eight-bars/print.html", viewport={"width": width, "height": 1000})
    page.emulate_media(media="print")
    drawn = page.locator(".paper .cut > img").first.bounding_box()
    assert drawn is not None
    millimetres = drawn["width"] / 96 * 25.4
    assert millimetres == pytest.approx(180, abs=0.6)
    # of the units that a system is wide, a staff is 72 high
    units = float((page.locator(".paper .cut > svg").first.get_attribute("viewBox") or "").split()[2])
    assert 72 / units * millimetres == pytest.approx(7.85, abs=0.1)


def test_every_picture_of_the_sheets_is_there(open_page: OpenPage, demo: str) -> None:
    page = open_page(f"{demo}pieces/sonatina-in-g/print.html", viewport=WIDE)
    page.wait_for_load_state("networkidle")
    empty = page.evaluate("[...document.images].filter((each) => !each.naturalWidth).map((each) => each.src)")
    assert empty == []
    assert page.locator(".paper img").count() > 20


_NAMES = "(pictures) => pictures.map((each) => each.alt)"


def test_no_system_is_cut_between_two_sheets(open_page: OpenPage, demo: str) -> None:
    page = open_page(f"{demo}pieces/sonatina-in-g/print.html#outer-voices", viewport=WIDE)
    page.wait_for_load_state("networkidle")
    # low sheets, so that systems must go over to the next; one that is cut is painted on both, with its bar number
    sheets = _sheets(page, height="95mm")
    assert len(sheets) > 1
    words = [word for sheet in sheets for word in sheet.split()]
    first_bars = [
        re.findall(r"bars (\d+) to", name) for name in page.locator(".paper img:visible").evaluate_all(_NAMES)
    ]
    # the first system of a piece has no number; one number stands for no fingering here, as all are above 5
    numbers = [number for found in first_bars for number in found][1:]
    assert [word for word in words if word in numbers] == numbers
    assert len(numbers) >= 3


def test_sheets_are_numbered(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html", viewport=WIDE)
    assert [re.findall(r"\d / \d", sheet) for sheet in _sheets(page)] == [["1 / 2"], ["2 / 2"]]


def test_plan_and_words_are_printed_alone_and_behind_the_ladder(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/index.html", viewport=WIDE)
    page.wait_for_selector("#player:not([hidden])")
    page.goto(page.locator("a[href$='#paper_words']").evaluate("(link) => link.href"))
    assert page.locator(".printed:visible").count() == 0
    (words,) = _sheets(page)
    said = " ".join(words.split())
    for part in (
        "Practice plan",
        "Day 2",
        "Blocked chords",
        "Bars 5 to 8",
        "The chord of bar 2 leans",
        "The bass alone",
    ):
        assert part in said
    page.goto(f"{trial}pieces/eight-bars/print.html")
    assert "Practice plan" in _sheets(page)[-1]


def test_the_last_system_of_a_stage_is_not_alone_on_a_sheet(open_page: OpenPage, demo: str) -> None:
    page = open_page(f"{demo}pieces/sonatina-in-g/print.html#left-hand-alone", viewport=WIDE)
    numbers = _bar_numbers(page.locator(".paper img:visible").evaluate_all(_NAMES))
    # sheets of every height that a printer may have
    for height in range(180, 300, 15):
        found = [[word for word in sheet.split() if word in numbers] for sheet in _sheets(page, f"{height}mm")]
        assert [number for sheet in found for number in sheet] == numbers
        assert len(found[-1]) >= 2, height


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
def test_the_page_of_a_piece_is_printed_as_its_music(open_page: OpenPage, demo: str, viewport: dict[str, int]) -> None:
    asked: list[str] = []
    page = open_page(f"{demo}about/index.html", viewport=viewport, color_scheme="dark")
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{demo}pieces/sonatina-in-g/index.html")
    page.wait_for_selector("#player:not([hidden])")
    page.keyboard.press("]")
    until_stage(page, "outer-voices")
    # whatever lies over the page or is far from the screen
    page.keyboard.press("?")
    page.wait_for_selector("#help[open]")
    page.wait_for_timeout(300)
    drawn_for_paper = [url for url in asked if "/wide-" in url]
    assert (drawn_for_paper == []) is (viewport == PHONE)
    sheets = _sheets(page)
    words = [word for sheet in sheets for word in sheet.split()]
    assert "Outer voices" in sheets[0]
    assert "Sonatina in G" in sheets[0]
    numbers = _bar_numbers(page.locator(".on-paper img").evaluate_all(_NAMES))
    assert len(numbers) >= 3
    assert [word for word in words if word in numbers] == numbers
    for of_the_screen in ("Practice", "Help", "Shift", "MIDI"):
        assert of_the_screen not in " ".join(words)
    assert page.locator(".on-paper").is_hidden()


def test_a_page_without_scripts_is_printed_as_its_music(browser: Browser, demo: str) -> None:
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)
    page = context.new_page()
    page.goto(f"{demo}pieces/sonatina-in-g/stages/outer-voices/index.html")
    words = [word for sheet in _sheets(page) for word in sheet.split()]
    numbers = _bar_numbers(page.locator(".systems[data-layout=wide] img").evaluate_all(_NAMES))
    assert len(numbers) >= 3
    # the words after the music speak of bars too
    assert [word for word in words if word in numbers][: len(numbers)] == numbers
    context.close()


def _bar_numbers(names: list[str]) -> list[str]:
    """The numbers printed at the beginning of systems, by the names of their pictures, but for those that could be
    fingerings; the first system has none."""
    numbers = [re.findall(r"[Bb]ars? (\d+)", name)[0] for name in names]
    return [number for number in numbers if int(number) > 5]


def _sheets(page: Page, height: str = "297mm") -> list[str]:
    """The words on each sheet of paper."""
    file = page.pdf(width="210mm", height=height)
    return [sheet.extract_text() for sheet in PdfReader(io.BytesIO(file)).pages]
