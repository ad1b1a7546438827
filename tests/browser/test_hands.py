"""Hands alone: the other hand's staff is not shown, and its notes are not heard, at every stage."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import (
    attend_to_sound,
    choose_hands,
    loudest,
    note_marks,
    tap_note,
    until,
    until_hands,
    until_stage,
    wait_for_marks,
)
from tests.browser.serving import serving

_SHOWN = (
    "(hand) => [...document.querySelectorAll('svg.engraving .staff')].filter((each) => each.dataset.hand === hand)"
    ".map((staff) => staff.getClientRects().length > 0 && getComputedStyle(staff).display !== 'none')"
)
_SYSTEM = "document.querySelector('svg.engraving').getBoundingClientRect().height"
_LINES = """() => {
  const svg = document.querySelector('svg.engraving');
  const lines = [...svg.querySelectorAll('.staff')].filter((staff) => getComputedStyle(staff).display !== 'none')
    .map((staff) => staff.querySelector('path').getBoundingClientRect());
  const seen = svg.getBoundingClientRect();
  return lines.every((line) => seen.top <= line.top && line.bottom <= seen.bottom);
}"""


def _shown(page: Page, hand: str) -> set[bool]:
    return set(page.evaluate(_SHOWN, hand))


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
@pytest.mark.parametrize("stage", ["block-chords", "as-written"])
def test_one_hand_is_left_to_see(open_piece: OpenPage, stage: str, viewport: dict[str, int]) -> None:
    page = open_piece(stage, viewport=viewport)
    until(page, "document.querySelector('svg.engraving')")
    height = page.evaluate(_SYSTEM)
    choose_hands(page, "right")
    assert page.inner_text("#saying") == "Right hand alone"
    assert (_shown(page, "right"), _shown(page, "left")) == ({True}, {False})
    assert page.evaluate(_SYSTEM) < 0.8 * height
    assert page.evaluate(_LINES)
    choose_hands(page, "left")
    assert (_shown(page, "right"), _shown(page, "left")) == ({False}, {True})
    assert page.evaluate(_SYSTEM) < 0.8 * height
    assert page.evaluate(_LINES)
    choose_hands(page, "both")
    assert page.inner_text("#saying") == "Both hands"
    assert (_shown(page, "right"), _shown(page, "left")) == ({True}, {True})
    assert page.evaluate(_SYSTEM) == height


def test_hands_stay_alone_from_stage_to_stage(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    page.keyboard.press("a")
    until_hands(page, "right")
    assert page.input_value("#hands") == "right"
    page.keyboard.press("]")
    until_stage(page, "as-written")
    until(page, "document.querySelectorAll('svg.engraving .staff[data-hand]').length > 0")
    assert _shown(page, "left") == {False}
    page.keyboard.press("a")
    assert page.input_value("#hands") == "left"
    page.keyboard.press("a")
    assert page.input_value("#hands") == "both"


def test_what_is_for_both_hands_goes_along_with_the_left(browser: Browser, built_site: Path) -> None:
    """The tempo, words and brackets of endings over the system; fingerings between the staves are of the hand whose
    note they stand at; a curve from the line before is of the hand that it lies over."""
    with serving(built_site) as address, browser.new_context(viewport=PHONE) as context:
        page = context.new_page()
        page.goto(f"{address}pieces/waltz-in-e-minor/stages/as-written/index.html")
        page.wait_for_selector("#player:not([hidden])")
        seen = """(wanted) => [...document.querySelectorAll('svg.engraving')].map((svg) =>
          [...svg.querySelectorAll(wanted)].filter((each) => each.getClientRects().length
            && each.getBoundingClientRect().top >= svg.getBoundingClientRect().top - 1
            && each.getBoundingClientRect().bottom <= svg.getBoundingClientRect().bottom + 1).length)"""
        fingerings = ".measure > text[font-weight=bold][text-anchor]"
        curves = ".page-margin > path[d*=c]"
        until(page, "document.querySelectorAll('svg.engraving').length > 3")
        both = page.evaluate(seen, fingerings)
        assert page.evaluate(seen, curves)[1] == 1
        choose_hands(page, "left")
        assert page.evaluate(seen, ".tempo")[0] == 1
        assert page.evaluate(seen, ".page-margin > text")[3] == 1, "the number of the ending"
        assert page.evaluate(seen, curves)[1] == 0
        left = page.evaluate(seen, fingerings)
        assert left[:2] == [3, 6]
        choose_hands(page, "right")
        assert page.evaluate(seen, curves)[1] == 1
        right = page.evaluate(seen, fingerings)
        assert [one + other for one, other in zip(left, right, strict=False)][:3] == both[:3]


def test_the_place_is_kept_when_a_staff_goes(open_piece: OpenPage) -> None:
    page = open_piece("as-written", viewport=PHONE)
    page.evaluate("document.querySelectorAll('.system')[2].scrollIntoView()")
    page.wait_for_timeout(300)
    top = "[...document.querySelectorAll('.system')].filter((each) => each.getClientRects().length)[2]"
    before = page.evaluate(f"{top}.getBoundingClientRect().top")
    page.keyboard.press("a")
    until_hands(page, "right")
    assert abs(page.evaluate(f"{top}.getBoundingClientRect().top") - before) < 4


def test_only_the_notes_of_the_hand_are_marked(open_piece: OpenPage) -> None:
    page = open_piece("as-written", viewport=WIDE)
    choose_hands(page, "left")
    note_marks(page)
    page.click("#play")
    heard = wait_for_marks(page, 6)
    marked = {note for mark in heard for note in mark["ids"]}
    assert marked
    assert all(note.startswith("l") for note in marked)


@pytest.mark.parametrize(("hands", "silent"), [("right", True), ("left", False), ("both", False)])
def test_the_other_hand_is_not_heard(open_piece: OpenPage, hands: str, silent: bool) -> None:
    page = open_piece("bass-line")  # nothing but the left hand
    attend_to_sound(page)
    choose_hands(page, hands)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    sound = loudest(page, 1200)
    assert (sound < 1e-4) if silent else (sound > 0.01)


def test_a_hand_may_be_heard_and_not_played(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    attend_to_sound(page)
    page.keyboard.press("s")
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    assert loudest(page, 800) < 1e-4
    # silent, but still there to be read and followed
    assert _shown(page, "left") == {True}
    page.keyboard.press("s")
    assert loudest(page, 1500) > 0.01


def test_the_notes_that_are_left_are_there_to_be_tapped(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    choose_hands(page, "left")
    tap_note(page, "k-l1-1")
    page.wait_for_selector("#card:not([hidden])")
    choose_hands(page, "right")
    assert page.locator("[data-note='k-l1-1']").is_hidden()
