"""On paper: a stage or the whole ladder, a code that opens the stage, and no system cut by the page's edge."""

from __future__ import annotations

import io
import re

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from tests.browser.conftest import WIDE, OpenPage


def test_the_whole_ladder_is_printed_stage_by_stage(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html", viewport=WIDE)
    assert page.locator(".printed h2").all_inner_texts() == ["Bass line", "Block chords", "As written"]
    page.emulate_media(media="print")
    assert page.is_hidden(".masthead")
    assert page.evaluate("getComputedStyle(document.querySelector('.paper .cut')).breakInside") == "avoid"
    assert page.evaluate("getComputedStyle(document.querySelector('.printed')).breakAfter") == "page"
    assert len(_sheets(page)) == 3


def test_one_stage_is_one_sheet_with_its_code(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html#as-written", viewport=WIDE)
    assert page.locator(".printed:visible h2").all_inner_texts() == ["As written"]
    assert page.locator(".printed-head .code:visible svg path").count() == 1
    assert page.locator(".codes .code:visible figcaption").all_inner_texts() == ["Bars 1 to 8"]
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
    assert [re.findall(r"\d / \d", sheet) for sheet in _sheets(page)] == [["1 / 3"], ["2 / 3"], ["3 / 3"]]


def _sheets(page: Page, height: str = "297mm") -> list[str]:
    """The words on each sheet of paper."""
    file = page.pdf(width="210mm", height=height)
    return [sheet.extract_text() for sheet in PdfReader(io.BytesIO(file)).pages]
