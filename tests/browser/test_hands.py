"""Hands alone: the other hand's notes fade from the drawing and are not heard, at every stage."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import (
    attend_to_sound,
    choose_hands,
    loudest,
    note_marks,
    tap_note,
    until,
    until_stage,
    wait_for_marks,
)

_FADED = (
    "(hand) => [...document.querySelectorAll('svg.engraving .staff')].filter((each) => each.dataset.hand === hand)"
    ".flatMap((staff) => [...staff.querySelectorAll(':scope > g')])"
    ".map((content) => getComputedStyle(content).opacity)"
)


def _opacities(page: Page, hand: str) -> set[str]:
    return set(page.evaluate(_FADED, hand))


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
@pytest.mark.parametrize("stage", ["block-chords", "as-written"])
def test_one_hand_is_left_to_see(open_piece: OpenPage, stage: str, viewport: dict[str, int]) -> None:
    page = open_piece(stage, viewport=viewport)
    choose_hands(page, "right")
    assert page.inner_text("#saying") == "Right hand alone"
    assert _opacities(page, "right") == {"1"}
    assert _opacities(page, "left") == {"0.1"}
    choose_hands(page, "left")
    assert _opacities(page, "right") == {"0.1"}
    assert _opacities(page, "left") == {"1"}
    choose_hands(page, "both")
    assert page.inner_text("#saying") == "Both hands"
    assert _opacities(page, "right") | _opacities(page, "left") == {"1"}


def test_hands_stay_alone_from_stage_to_stage(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    page.keyboard.press("a")
    assert page.input_value("#hands") == "right"
    page.keyboard.press("]")
    until_stage(page, "as-written")
    until(page, "document.querySelectorAll('svg.engraving .staff[data-hand]').length > 0")
    assert _opacities(page, "left") == {"0.1"}
    page.keyboard.press("a")
    assert page.input_value("#hands") == "left"
    page.keyboard.press("a")
    assert page.input_value("#hands") == "both"


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
    assert _opacities(page, "left") == {"1"}
    page.keyboard.press("s")
    assert loudest(page, 1500) > 0.01


def test_a_faded_note_is_not_what_a_tap_means(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    choose_hands(page, "right")
    tap_note(page, "k-l1-1")
    assert page.inner_text("#place") == "Bar 2"
    assert page.is_hidden("#card")
