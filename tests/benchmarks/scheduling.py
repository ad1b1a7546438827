"""Prints how late notes are heard, rendered without a device: three minutes at three tempi, a loop, all 88 keys.

    python -m tests.benchmarks.scheduling output

``output`` is a built site. Needs Chromium.
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import launch
from tests.browser.rendering import LEAD, every, render, wandering
from tests.browser.serving import serving


def main(root: Path) -> None:
    with serving(root) as address, sync_playwright() as playwright:
        browser = launch(playwright)
        page = browser.new_page()
        page.goto(f"{address}about/index.html")
        print("what | notes | latest, ms | first, ms | last, ms")
        for speed in (0.6, 1.0, 1.2):
            count = round(180 * speed)
            expected = [LEAD + n / speed for n in range(count)]
            late = render(page, root, every(1.0, wandering(count)), expected, speed=speed)
            _show(f"3 minutes at {100 * speed:.0f} %", late.late)
        loop = {"from": 1.5, "to": 4.5}
        expected = [LEAD + 0.75 * n for n in range(120)]
        _show("loop of 3 seconds", render(page, root, every(0.75, wandering(12)), expected, loop=loop).late)
        timing = every(1.2, list(range(21, 109)), 0.3)
        _show("A0 to C8", render(page, root, timing, [LEAD + 1.2 * n for n in range(88)]).late)
        browser.close()


def _show(what: str, late: list[float]) -> None:
    milliseconds = [1000 * each for each in late]
    worst = max(milliseconds, key=abs)
    print(f"{what} | {len(late)} | {worst:.2f} | {milliseconds[0]:.2f} | {milliseconds[-1]:.2f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
