"""The rhythm of a bar is tapped: counted in, on a pad or the space key, and told note by note in words."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

from tests.browser.conftest import PHONE, OpenPage
from tests.browser.listening import attend_to_sound, loudest, until

#: Resolves when the light has been on a mark for a share of its time; the first three marks are counted in.
LIGHT = """([mark, seconds]) => new Promise((resolve) => {
  const look = () => document.querySelectorAll("#rhythm-beats li")[mark]?.classList.contains("now")
    ? setTimeout(resolve, 1000 * seconds) : requestAnimationFrame(look);
  look();
})"""
BEAT = 60 / (160 * 0.3)


def _judged(page: Page, onsets: list[float], taps: list[float], beat: float) -> list[Any]:
    found: list[Any] = page.evaluate(
        """async ([onsets, taps, beat]) => {
          const { judge } = await import("/_sources/rhythm/judging.js");
          const { verdicts, extra } = judge(onsets, taps, beat);
          return [...verdicts, extra];
        }""",
        [onsets, taps, beat],
    )
    return found


def test_what_is_early_late_left_out_and_too_much(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}about/index.html")
    bar = [0.0, 0.5, 1.0, 1.25]  # at 120: an eighth of the beat is 63 ms
    assert _judged(page, bar, [0.01, 0.45, 1.06, 1.2], 0.5) == ["in-time"] * 4 + [0]
    assert _judged(page, bar, [-0.08, 0.58, 1.0, 1.25], 0.5) == ["bit-early", "bit-late", "in-time", "in-time", 0]
    assert _judged(page, bar, [0.0, 0.64, 1.0, 1.25], 0.5) == ["in-time", "late", "in-time", "in-time", 0]
    assert _judged(page, bar, [0.0, 1.0, 1.25], 0.5) == ["in-time", "missed", "in-time", "in-time", 0]
    assert _judged(page, bar, [0.0, 0.5, 0.75, 1.0, 1.25], 0.5) == ["in-time"] * 4 + [1]
    # late throughout is late, not another rhythm
    assert _judged(page, bar, [0.2, 0.7, 1.2, 1.45], 0.5) == ["late"] * 4 + [0]
    # slowly a tap may be further away, but no further than everybody hears
    assert _judged(page, [0.0, 2.0], [0.12, 2.14], 2.0) == ["in-time", "bit-late", 0]
    # fast no less than nobody hears
    assert _judged(page, [0.0, 0.2], [0.045, 0.2], 0.2) == ["in-time", "in-time", 0]


def _opened(page: Page, hand: str) -> None:
    for _ in range(14):
        page.keyboard.press("-")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("p")
    page.click("#open-rhythm")
    assert page.locator("#rhythm-bar option:checked").inner_text() == "Bar 2"
    page.select_option("#rhythm-hands", value=hand)
    page.wait_for_selector("#rhythm-music .measure[data-bar='1']")


def test_the_rhythm_of_a_hand_is_tapped_with_the_space_key(open_piece: OpenPage) -> None:
    page = open_piece("as-written")
    attend_to_sound(page)
    _opened(page, "right")
    # of the other hand only its staff is left to see
    faint = "getComputedStyle(document.querySelector('#rhythm-music .staff[data-hand=left] > :not(path)')).opacity"
    assert float(page.evaluate(faint)) < 0.5
    page.focus("#rhythm-pad")
    page.keyboard.press(" ")
    until(page, "document.querySelectorAll('#rhythm-beats li').length === 6")
    assert page.inner_text("#rhythm-said") == "Listen to one bar, then tap each note."
    assert loudest(page, 600) > 0.05, "a bar is counted in"
    for mark, later in ((3, 0.0), (4, 0.35 * BEAT)):
        page.evaluate(LIGHT, [mark, later])
        page.keyboard.press(" ")
    until(page, "document.querySelectorAll('#rhythm-notes li').length > 0")
    lines = page.locator("#rhythm-notes li").all_text_contents()
    assert lines[0] in ("beat 1: in time", "beat 1: a little late")
    assert lines[1:] == ["beat 2: too late", "beat 3: not tapped"]
    # the line that screen readers hear names what was not in time, and gives no mark
    said = page.text_content("#rhythm-said") or ""
    assert said.endswith("beat 2: too late. beat 3: not tapped.")
    assert page.get_attribute("#rhythm-said", "role") == "status"
    assert not any(figure in said for figure in "%/")
    assert page.inner_text("#rhythm-pad") == "Once more"
    # the space key did not close the sheet, nor play the music
    assert page.locator("#rhythm[open]").count() == 1
    assert page.get_attribute("#play", "data-playing") is None


def test_the_rhythm_of_both_hands_is_tapped_with_a_finger(open_piece: OpenPage) -> None:
    page = open_piece("as-written", viewport=PHONE, has_touch=True, is_mobile=True)
    _opened(page, "both")
    page.locator("#rhythm-pad").scroll_into_view_if_needed()
    pad = page.locator("#rhythm-pad").bounding_box()
    assert pad is not None
    assert pad["height"] >= 120
    assert pad["width"] > 250
    page.tap("#rhythm-pad")
    until(page, "document.querySelectorAll('#rhythm-beats li').length === 6")
    page.evaluate(LIGHT, [3, 0.0])
    page.tap("#rhythm-pad")
    until(page, "document.querySelectorAll('#rhythm-notes li').length > 0")
    lines = page.locator("#rhythm-notes li").all_text_contents()
    # both hands together strike six quavers; one tap counts once
    assert len(lines) == 6
    assert lines[0].split(": ")[1] in ("in time", "a little late", "too late")
    assert {line.split(": ")[1] for line in lines[1:]} == {"not tapped"}
    # who taps nothing is told how it goes
    page.tap("#rhythm-pad")
    until(page, "document.getElementById('rhythm-said').textContent.startsWith('Nothing was tapped')")
    # what is begun ends with the sheet
    page.tap("#rhythm-pad")
    page.tap("#rhythm form > [value=close]")
    until(page, "!document.querySelector('#rhythm[open], #rhythm-beats li')")
