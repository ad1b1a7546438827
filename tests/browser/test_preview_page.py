"""A page of the preview follows what is saved: at the same bar, and with what is at fault."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from sitegen.building.store import Store
from sitegen.previewing import PreviewFolder, address_of, serve_on
from tests.browser.conftest import PHONE
from tests.browser.refusals import NOTE_REFUSED, refused
from tests.building.studio import musicxml, write_content, write_piece

LONG = musicxml(" | ".join(["C5q D5 E5 F5", "G5h E5", "F5q E5 D5 C5", "D5w"] * 10), " | ".join(["C3w"] * 40))
TOP = """() => {
  const boxes = [...document.querySelectorAll(".system[data-first]")].filter((box) => box.getClientRects().length);
  const box = boxes.find((each) => each.getBoundingClientRect().bottom > 0);
  return [Number(box.dataset.first), Math.round(box.getBoundingClientRect().top)];
}"""


@pytest.fixture
def shown(tmp_path: Path) -> Iterator[tuple[PreviewFolder, str]]:
    content = write_content(tmp_path / "content", march=LONG)
    folder = PreviewFolder(content, tmp_path / "shown", Store(tmp_path / "cache"))
    folder.refresh()
    server = serve_on(folder.folder, folder.state, 0)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield folder, f"{address_of(server)}pieces/march/stages/as-written/"
    server.shutdown()
    server.server_close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE)
    yield context.new_page()
    context.close()


def test_the_page_comes_back_at_the_same_bar_with_what_was_saved(shown: tuple[PreviewFolder, str], page: Page) -> None:
    folder, address = shown
    page.goto(address)
    page.locator(".systems:visible .system svg.engraving").first.wait_for()
    page.locator(".systems:visible .system").nth(4).evaluate("box => box.scrollIntoView({ block: 'start' })")
    before = page.evaluate(TOP)
    assert before[0] > 4
    write_piece(folder.content, "march", LONG, "Sing the bass.")
    folder.refresh()
    page.get_by_text("Sing the bass.").wait_for(timeout=20_000)
    page.wait_for_timeout(600)
    after = page.evaluate(TOP)
    assert after[0] == before[0]
    assert abs(after[1] - before[1]) < 40


def test_a_fault_is_told_on_the_page_and_goes_when_it_is_mended(shown: tuple[PreviewFolder, str], page: Page) -> None:
    folder, address = shown
    page.add_init_script(NOTE_REFUSED)
    page.goto(address)
    write_piece(folder.content, "march", LONG, "[x](bars:99)")
    folder.refresh()
    panel = page.get_by_text("1 fault: the last good page stays until it is mended")
    panel.wait_for(timeout=20_000)
    assert "Listen to the bass." in page.inner_text("body")
    assert page.get_by_text("the score has no bar 99").is_visible()
    assert refused(page) == []
    write_piece(folder.content, "march", LONG, "Mended.")
    folder.refresh()
    page.get_by_text("Mended.").wait_for(timeout=20_000)
    assert page.get_by_text("fault").count() == 0
