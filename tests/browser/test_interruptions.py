"""A call comes in while the music plays, or before it begins."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.conftest import OpenPage
from tests.browser.interruptions import CALLS, a_call_comes, the_call_ends
from tests.browser.listening import bar_shown, marks, note_marks, until, until_bar, wait_for_marks

_AT_REST = "!document.getElementById('play').hasAttribute('data-playing')"


def _opened(open_piece: OpenPage) -> Page:
    page = open_piece("bass-line")
    page.add_init_script(CALLS)
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    note_marks(page)
    return page


def test_after_a_call_the_next_tap_goes_on_where_the_music_was(open_piece: OpenPage) -> None:
    page = _opened(open_piece)
    page.click("#play")
    until_bar(page, "2")
    a_call_comes(page)
    until(page, _AT_REST)
    assert page.get_attribute("#play", "aria-label") == "Play"
    assert page.inner_text("#saying").startswith("The device has taken the sound away")
    assert bar_shown(page) == "Bar 2"
    # a tap in the middle of the call is answered truthfully: nothing plays
    page.click("#play")
    until(page, "document.getElementById('play').getAttribute('aria-busy') === 'false'")
    assert page.evaluate(_AT_REST)
    assert page.inner_text("#saying").startswith("The device has taken the sound away")
    the_call_ends(page)
    page.wait_for_timeout(300)
    assert page.evaluate(_AT_REST), "nothing sounds before it is asked for"
    before = len(marks(page))
    page.click("#play")
    heard = wait_for_marks(page, before + 1)[before:]
    assert heard[0]["ids"] == ["b-l1-0"]
    assert page.get_attribute("#play", "aria-label") == "Pause"
    assert page.evaluate("call.outside") == 0, "resumed within the tap"


def test_a_tap_during_a_call_begins_nothing_and_one_after_it_does(open_piece: OpenPage) -> None:
    page = _opened(open_piece)
    a_call_comes(page)
    page.click("#play")
    until(page, "document.getElementById('saying').textContent.startsWith('The device has taken')")
    assert page.evaluate(_AT_REST)
    the_call_ends(page)
    page.click("#play")
    assert wait_for_marks(page, 1)[0]["ids"] == ["b-l0-0"]
