"""A headless Chromium, sites to open in it, and a page that fails its test when anything goes wrong unseen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, BrowserType, Page, sync_playwright

from tests.browser.serving import serving
from tests.browser.trial_site import write_site

_ROOT = Path(__file__).resolve().parents[2]
PHONE = {"width": 390, "height": 844}
WIDE = {"width": 1280, "height": 800}
_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--autoplay-policy=user-gesture-required",
]

OpenPage = Callable[..., Page]


def find_chromium() -> str | None:
    """Where a Chromium is on this machine."""
    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def launch(chromium: BrowserType, *settings: str) -> Browser:
    """A headless Chromium that talks to nobody but the pages' own host, with these settings besides."""
    return chromium.launch(executable_path=find_chromium(), args=[*_ARGUMENTS, *settings])


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if find_chromium() is None:
        message = "no Chromium on this machine: the pages were not tried in a browser (Debian: apt install chromium)"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    with sync_playwright() as playwright:
        running = launch(playwright.chromium)
        yield running
        running.close()


@pytest.fixture(scope="session")
def trial_root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("trial")
    write_site(root)
    return root


@pytest.fixture(scope="session")
def trial(trial_root: Path) -> Iterator[str]:
    """The address of a site with one piece of eight bars, bars 1 to 4 repeated."""
    with serving(trial_root) as address:
        yield address


@pytest.fixture(scope="session")
def demo_root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("demo") / "site"
    command = [sys.executable, "-m", "sitegen", "build", str(_ROOT / "content"), "--output", str(root)]
    built = subprocess.run(command, cwd=_ROOT, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    return root


@pytest.fixture(scope="session")
def demo(demo_root: Path) -> Iterator[str]:
    with serving(demo_root) as address:
        yield address


@pytest.fixture
def open_page(browser: Browser) -> Iterator[OpenPage]:
    """Opens an address in a context of its own. At the end of the test no page may have had an error on its console,
    a refused script or style, or a request to another host.
    """
    contexts: list[BrowserContext] = []
    faults: list[str] = []

    def opener(address: str, **options: object) -> Page:
        context = browser.new_context(**{"viewport": PHONE, **options})
        contexts.append(context)
        page = context.new_page()
        host = address.split("/")[2]
        page.on(
            "console",
            lambda said: (
                faults.append(said.text)
                # of a context without workers the browser's driver says so by itself
                if said.type in {"error", "warning"} and "blocked by Playwright" not in said.text
                else None
            ),
        )
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on(
            "request",
            lambda asked: (
                None
                if asked.url.split("/")[2:3] == [host] or asked.url.startswith(("data:", "blob:"))
                else faults.append(f"asked another host: {asked.url}")
            ),
        )
        page.goto(address)
        return page

    yield opener
    for context in contexts:
        context.close()
    assert faults == []


@pytest.fixture
def open_piece(open_page: OpenPage, trial: str) -> OpenPage:
    """Opens a stage of the trial piece and waits until it can be played and its first system is alive."""

    def opener(stage: str = "block-chords", **options: object) -> Page:
        page = open_page(f"{trial}pieces/eight-bars/stages/{stage}/index.html", **options)
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector("svg.engraving")
        return page

    return opener
