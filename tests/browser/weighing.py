"""What a page fetches by itself."""

from __future__ import annotations

import gzip

from playwright.sync_api import Browser, Response

from tests.browser.conftest import PHONE


def fetched_at(browser: Browser, address: str, drawn: str = "body") -> dict[str, int]:
    """The bytes, compressed, of all that a first visit to a page on a phone fetches before anybody taps, by address.
    ``drawn`` is what is waited for."""
    fetched: dict[str, int] = {}

    def weigh(response: Response) -> None:
        if response.ok:
            fetched[response.url] = len(gzip.compress(response.body(), mtime=0))

    with browser.new_context(viewport=PHONE, service_workers="block") as context:
        page = context.new_page()
        page.on("response", weigh)
        page.goto(address)
        page.wait_for_selector(drawn)
        page.wait_for_timeout(500)
    return fetched


def scripts_of(fetched: dict[str, int]) -> int:
    """The bytes of the scripts among them."""
    return sum(size for address, size in fetched.items() if address.endswith(".js"))
