"""On paper: a stage or the whole ladder, a code that opens the stage, and no system cut by the page's edge."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.conftest import WIDE, OpenPage


def test_the_whole_ladder_is_printed_stage_by_stage(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/print.html", viewport=WIDE)
    assert page.locator(".printed h2").all_inner_texts() == ["Bass line", "Block chords", "As written"]
    page.emulate_media(media="print")
    assert page.is_hidden(".masthead")
    assert page.evaluate("getComputedStyle(document.querySelector('.paper img')).breakInside") == "avoid"
    assert page.evaluate("getComputedStyle(document.querySelector('.printed')).breakAfter") == "page"
    assert _sheets(page) == 3


def test_one_stage_is_one_sheet_with_its_code(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}pieces/eight-bars/stages/as-written/print.html", viewport=WIDE)
    assert page.locator(".code svg path").count() == 1
    assert page.locator(".printed").count() == 1
    assert _sheets(page) == 1


def _sheets(page: Page) -> int:
    return page.pdf(format="A4").count(b"/Type /Page\n") or page.pdf(format="A4").count(b"/Type/Page/")
