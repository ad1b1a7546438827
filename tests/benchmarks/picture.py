"""Takes the picture that the README shows: a piece on a phone while it is played, the bar with its keys below.

python -m sitegen build content -o output && python -m tests.benchmarks.picture output tests/browser/screenshot.png
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import PHONE, launch
from tests.browser.serving import serving

PAGE = "pieces/sonatina-in-g/stages/simple-tune-over-blocked-chords/index.html"


def main(root: Path, picture: Path) -> None:
    with serving(root) as address, sync_playwright() as playwright:
        browser = launch(playwright.chromium)
        page = browser.new_page(
            viewport=PHONE, device_scale_factor=2, has_touch=True, is_mobile=True, reduced_motion="reduce"
        )
        page.goto(f"{address}{PAGE}")
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector("svg.engraving")
        page.keyboard.press("h")
        page.wait_for_selector(".strip text")
        page.keyboard.press("Shift+ArrowRight")
        page.tap("#play")
        page.wait_for_selector(".sounding[data-note]")
        page.screenshot(path=str(picture))
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
