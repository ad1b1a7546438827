"""What a page may load is enough for all that it does, and it asks for nothing else."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser

from tests.browser.conftest import OpenPage
from tests.browser.listening import note_marks, open_stage, unfold_plan, until, wait_for_marks
from tests.browser.refusals import NOTE_REFUSED, refused


def test_nothing_is_refused_while_a_piece_is_played_asked_about_and_kept(open_piece: OpenPage, trial: str) -> None:
    page = open_piece()
    page.context.add_init_script(NOTE_REFUSED)
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 3)
    page.click("#play")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press(".")
    page.keyboard.press("m")
    page.keyboard.press("o")
    page.keyboard.press("Escape")
    unfold_plan(page)
    with page.expect_download():
        page.click("#plan-save")
    open_stage(page, "as-written")
    until(page, "document.getElementById('piece').dataset.stage === 'as-written'")
    assert refused(page) == []
    page.goto(f"{trial}pieces/eight-bars/print.html")
    page.emulate_media(media="print")
    assert page.locator(".printed").count() == 3
    assert refused(page) == []
    page.goto(f"{trial}index.html")
    page.click(".keep")
    until(page, "document.querySelector('.keep').getAttribute('aria-pressed') === 'true'")
    assert refused(page) == []


def test_nothing_is_refused_in_a_page_opened_as_a_file_but_modules(browser: Browser, trial_root: Path) -> None:
    """Browsers run no modules from a file, whatever a page says; the style and the pictures are there."""
    context = browser.new_context()
    context.add_init_script(NOTE_REFUSED)
    page = context.new_page()
    page.goto((next((trial_root / "pieces").iterdir()) / "index.html").as_uri())
    assert page.locator(".as-file").is_visible()
    assert page.evaluate("getComputedStyle(document.querySelector('.unseen')).position") == "absolute"
    assert refused(page) == []
    context.close()


def test_the_page_itself_refuses_what_is_not_its_own(browser: Browser, trial_root: Path) -> None:
    """Where no host says so: opened as a file, of which nothing else speaks."""
    context = browser.new_context()
    context.add_init_script(NOTE_REFUSED)
    page = context.new_page()
    page.goto((trial_root / "index.html").as_uri())
    page.evaluate("""() => {
      const script = document.createElement("script");
      script.textContent = "window.harmed = true";
      document.body.append(script);
      const picture = new Image();
      picture.src = "https://example.org/a.png";
      document.body.append(picture);
    }""")
    until(page, "window.refused.length >= 2")
    assert not page.evaluate("window.harmed === true")
    assert {each.split(":")[0] for each in refused(page)} == {"script-src-elem", "img-src"}
    context.close()
