"""What long pieces ask of a phone, on a built site.

    python -m tests.benchmarks.long_pieces SITE [SLUG ...]

Without slugs, of the five pieces of most bars. Each is opened in a Chromium of its own. Printed are:

- music at first sight: the share of the screen at which nothing lies over the rows of music, in a hundredth of it, for
  four phones, as the page opens;
- collisions: for the layouts large, phone and wide the noteheads of the score as written that stand in another's way
  (``collisions.py``), of the score as the site offers it; "-" where its licence lets none be offered;
- a change of stage: the most requests that reached the server in one, while every stage is opened and its music
  scrolled through to the end, twice over;
- memory after these two rounds: what the renderer alone holds (USS: private clean and dirty of smaps_rollup) and its
  share of what it has in common with others (PSS), in MB of a million bytes;
- a visit: requests and bytes of bodies, compressed as a host compresses them, from opening a piece and playing it
  until nothing more is asked for, what is kept for use without a connection included;
- seconds from the tap to the first sound at 1.6 Mbit/s with 150 ms latency, nothing of the piano being there yet.
"""

from __future__ import annotations

import json
import re
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from sitegen.layouts import LAYOUTS
from tests.benchmarks.collisions import collisions
from tests.browser.conftest import PHONE, launch
from tests.browser.seeing import music_in_view
from tests.browser.serving import serving

_PIECES = 5
_PHONES = ((390, 844), (375, 667), (844, 390), (320, 568))
_LINE = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 1.6e6 / 8}
_QUIET = 4.0  # seconds without a request after which a visit is over
_LONGEST = 120.0


class Asked:
    """What reached the server: how many requests, how many bytes were sent, and when the last one came."""

    def __init__(self) -> None:
        self.count, self.bytes, self.last = 0, 0, time.monotonic()

    def hear(self, _path: str, size: int) -> None:
        """Note an answer of ``size`` bytes."""
        self.count, self.bytes, self.last = self.count + 1, self.bytes + size, time.monotonic()


def main(root: Path, slugs: list[str]) -> None:
    """Print a line for each piece."""
    print(
        "piece                                   bars  at first sight  collisions  change   USS  PSS"
        "  visit: requests, MB  sound"
    )
    asked = Asked()
    with serving(root, asked.hear) as address, sync_playwright() as playwright:
        for slug in slugs or longest(root):
            bars = len(json.loads((root / "pieces" / slug / "piece.json").read_bytes())["bars"])
            url = f"{address}pieces/{slug}/index.html"
            browser = launch(playwright.chromium)
            sights = "/".join(str(at_first_sight(browser, url, size)) for size in _PHONES)
            requests, size = visit(browser, url, asked)
            sound = first_sound(browser, url)
            browser.close()
            browser = launch(playwright.chromium)
            most, uss, pss = rounds(browser, url, asked)
            browser.close()
            print(
                f"{slug:39} {bars:4}  {sights:>14}  {colliding(root, slug):>10}  {most:6}  {uss:4.0f} {pss:4.0f}"
                f"  {requests:15} {size / 1e6:4.2f}  {sound:5.2f}",
                flush=True,
            )


def longest(root: Path) -> list[str]:
    """The pieces of most bars."""
    bars = {
        place.parent.name: len(json.loads(place.read_bytes())["bars"]) for place in root.glob("pieces/*/piece.json")
    }
    return sorted(bars, key=lambda slug: (-bars[slug], slug))[:_PIECES]


@contextmanager
def opened(browser: Browser, url: str, *, kept: bool = False, size: tuple[int, int] | None = None) -> Iterator[Page]:
    """The page of a piece on a phone of its own; with ``kept`` its worker may keep things."""
    viewport = {"width": size[0], "height": size[1]} if size else PHONE
    context = browser.new_context(viewport=viewport, service_workers="allow" if kept else "block", has_touch=True)
    page = context.new_page()
    page.goto(url)
    page.wait_for_selector("#player:not([hidden])")
    yield page
    context.close()


def at_first_sight(browser: Browser, url: str, size: tuple[int, int]) -> int:
    """How many hundredths of the screen show music as the page opens."""
    with opened(browser, url, size=size) as page:
        page.wait_for_selector("svg.engraving")
        return round(music_in_view(page))


def colliding(root: Path, slug: str) -> str:
    """How many heads of the score as written stand in another's way, by layout."""
    pieces = json.loads((root / "site.json").read_bytes())["pieces"]
    offered = next((piece.get("score") for piece in pieces if piece["slug"] == slug), None)
    if not offered:
        return "-"
    found = collisions(root / offered, all_stages=False)
    return "/".join(str(found[f"{layout.name} heads"]) for layout in LAYOUTS)


def visit(browser: Browser, url: str, asked: Asked) -> tuple[int, int]:
    """Requests and bytes until nothing more is asked for."""
    asked.count = asked.bytes = 0
    with opened(browser, url, kept=True) as page:
        page.click("#play")
        page.wait_for_selector("#play[data-playing]")
        begun = time.monotonic()
        while time.monotonic() - max(asked.last, begun) < _QUIET and time.monotonic() - begun < _LONGEST:
            page.wait_for_timeout(200)
        return asked.count, asked.bytes


def first_sound(browser: Browser, url: str) -> float:
    """Seconds from the tap to the first note, on a throttled line."""
    with opened(browser, url) as page:
        page.wait_for_load_state("networkidle")
        page.context.new_cdp_session(page).send("Network.emulateNetworkConditions", _LINE)
        begun = time.monotonic()
        page.click("#play")
        page.wait_for_selector("#play[data-playing]", timeout=60_000)
        return time.monotonic() - begun


def rounds(browser: Browser, url: str, asked: Asked) -> tuple[int, float, float]:
    """The most requests of a change of stage in two rounds of the ladder, and the renderer's USS and PSS after them."""
    with opened(browser, url) as page:
        stages = page.evaluate("[...document.querySelectorAll('.ladder a')].map((link) => link.dataset.stage)")
        most = 0
        for stage in [*stages[1:], *stages, stages[0]]:
            asked.count = 0
            page.evaluate("slug => document.querySelector(`.ladder a[data-stage='${slug}']`).click()", stage)
            page.wait_for_selector(f"#piece[data-stage='{stage}']")
            page.wait_for_timeout(400)
            most = max(most, asked.count)
            page.evaluate(
                """async () => {
                  while (scrollY + innerHeight < document.documentElement.scrollHeight - 2) {
                    scrollBy({ top: innerHeight, behavior: "instant" });
                    await new Promise((resolve) => setTimeout(resolve, 40));
                  }
                  scrollTo({ top: 0, behavior: "instant" });
                }"""
            )
        page.wait_for_timeout(1000)
        return (most, *held(browser))


def held(browser: Browser) -> tuple[float, float]:
    """USS and PSS of the largest renderer, in millions of bytes."""
    session = browser.new_browser_cdp_session()
    found = [
        (_kilobytes(text, "Private_Clean", "Private_Dirty"), _kilobytes(text, "Pss"))
        for process in session.send("SystemInfo.getProcessInfo")["processInfo"]
        if process["type"] == "renderer"
        for text in [Path(f"/proc/{process['id']}/smaps_rollup").read_text(encoding="ascii")]
    ]
    uss, pss = max(found)
    return uss * 1.024e-3, pss * 1.024e-3


def _kilobytes(text: str, *names: str) -> int:
    return sum(int(number) for name in names for number in re.findall(rf"^{name}: +(\d+) kB", text, re.M))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
