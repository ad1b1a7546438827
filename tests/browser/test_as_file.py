"""A page opened by double click, without a server: music, words and stages are there, and the rest is said plainly."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser


def test_page_opened_as_a_file_shows_music_words_and_stages(browser: Browser, trial_root: Path) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    piece = next((trial_root / "pieces").iterdir())
    page.goto((piece / "index.html").as_uri())
    assert page.locator(".as-file").is_visible()
    assert "server" in page.locator(".as-file").inner_text()
    first = page.locator(".systems:visible .cut > img").first
    assert first.evaluate("image => image.complete && image.naturalWidth > 0")
    page.click(".about summary")
    page.locator("nav a[data-stage]").last.click()
    page.wait_for_url("**/stages/*/index.html")
    assert page.locator(".systems:visible .cut > img").first.evaluate("image => image.decode().then(() => true)")
    context.close()


def test_page_from_a_server_says_nothing_of_it(browser: Browser, trial: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{trial}/index.html")
    assert page.locator(".as-file").count() == 1
    assert not page.locator(".as-file").is_visible()
    context.close()


def test_without_scripts_each_system_is_shown_by_itself(browser: Browser, trial: str) -> None:
    """Several are drawn in one file; each has its own room, as high as it is, and only itself in it."""
    context = browser.new_context(viewport={"width": 1280, "height": 2000}, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{trial}pieces/eight-bars/stages/as-written/index.html")
    pictures = page.locator(".systems:visible .cut > img")
    addresses = [each.get_attribute("src") or "" for each in pictures.all()]
    assert len(addresses) > 1
    assert len({address.partition("#")[0] for address in addresses}) == 1
    assert len(set(addresses)) == len(addresses)
    for each in pictures.all():
        box = each.bounding_box()
        assert box is not None
        room = each.evaluate("image => image.previousElementSibling.getAttribute('viewBox')")
        across, along = map(float, room.split()[2:])
        assert abs(box["height"] / box["width"] - along / across) < 0.01
    shown = [each.screenshot() for each in pictures.all()]
    assert len(set(shown)) == len(shown)
    context.close()
