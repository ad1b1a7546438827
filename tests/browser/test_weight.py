"""How much a page weighs before anybody taps, and that nothing jumps while it arrives."""

from __future__ import annotations

import gzip

import pytest
from playwright.sync_api import Browser, Response

from tests.browser.conftest import PHONE, WIDE, OpenPage

SCRIPT_LIMIT = 30_000
FIRST_STAGE_LIMIT = 150_000


def test_little_is_fetched_before_the_first_tap(browser: Browser, trial: str) -> None:
    context = browser.new_context(viewport=PHONE, service_workers="block")
    fetched: dict[str, int] = {}

    def weigh(response: Response) -> None:
        if response.ok:
            fetched[response.url.removeprefix(trial)] = len(gzip.compress(response.body(), mtime=0))

    page = context.new_page()
    page.on("response", weigh)
    page.goto(f"{trial}pieces/eight-bars/index.html")
    page.wait_for_selector("svg.engraving")
    page.wait_for_timeout(500)
    scripts = sum(size for path, size in fetched.items() if path.endswith(".js"))
    context.close()
    assert 0 < scripts <= SCRIPT_LIMIT
    assert sum(fetched.values()) <= FIRST_STAGE_LIMIT
    assert not [path for path in fetched if path.endswith(".mp3") or "engine" in path]


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
@pytest.mark.parametrize("path", ["index.html", "pieces/eight-bars/index.html"], ids=["gallery", "piece"])
def test_nothing_jumps_while_the_page_arrives(
    open_page: OpenPage, trial: str, path: str, viewport: dict[str, int]
) -> None:
    page = open_page(trial + path, viewport=viewport)
    page.wait_for_load_state("networkidle")
    shift = page.evaluate(
        """new Promise((resolve) => {
          let sum = 0;
          new PerformanceObserver((list) => { for (const each of list.getEntries()) sum += each.value; })
            .observe({ type: "layout-shift", buffered: true });
          setTimeout(() => resolve(sum), 300);
        })"""
    )
    assert shift == 0


def test_only_the_samples_that_the_piece_needs_are_fetched(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if request.url.endswith(".mp3") else None)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    # From F2 to A5, a recorded note every three semitones.
    assert 8 <= len({url.rsplit("/", 1)[1] for url in asked}) <= 15
