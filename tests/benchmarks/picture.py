"""Takes the picture of a piece that the README shows: a stage while it is played, on a wide screen.

python -m tests.benchmarks.picture output sonatina-in-g as-written themes/studio/picture.png
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import launch
from tests.browser.serving import serving


def main(root: Path, piece: str, stage: str, picture: Path) -> None:
    with serving(root) as address, sync_playwright() as playwright:
        browser = launch(playwright.chromium)
        page = browser.new_page(viewport={"width": 1280, "height": 860}, reduced_motion="reduce")
        page.goto(f"{address}pieces/{piece}/stages/{stage}/index.html")
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector("svg.engraving")
        page.keyboard.press("h")
        page.keyboard.press("ArrowRight")
        page.click("#play")
        page.wait_for_selector(".sounding[data-note]")
        page.screenshot(path=str(picture))
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3], Path(sys.argv[4]))
