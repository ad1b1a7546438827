"""Loops: one bracket over the music, a bar of rest, the tempo raised by steps, and starts beyond them."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import bar_shown, note_marks, until, wait_for_marks

#: The paths of the bracket by system: where they reach down, and where they lie beside the bars they are over.
BRACKETS = """() => [...document.querySelectorAll(".system")].filter((box) => box.offsetParent).flatMap((box) => {
  const path = box.querySelector(".loop-bracket");
  if (!path) return [];
  const grounds = [...box.querySelectorAll(".measure")].map((bar) => [Number(bar.dataset.bar), bar.querySelector(".bar-ground").getBoundingClientRect()]);
  const { left, right, top } = path.getBoundingClientRect();
  const heads = [...box.querySelectorAll(".notehead, .staff > path")].map((each) => each.getBoundingClientRect().top);
  const over = grounds.filter(([, at]) => at.left < right - 4 && at.right > left + 4).map(([bar]) => bar);
  const d = path.getAttribute("d");
  return [{ over, begins: /^M\\S+ [-\\d.]+V/.test(d), ends: /V-?[\\d.]+$/.test(d), above: top < Math.min(...heads) }];
})"""  # noqa: E501


def _loop(page: Page, first: int, last: int) -> None:
    page.keyboard.press("p")
    page.select_option("#loop-first", index=first)
    page.select_option("#loop-last", index=last)
    page.check("#loop-on")


def test_a_loop_is_one_bracket_over_all_its_systems(open_piece: OpenPage) -> None:
    for screen in ({"viewport": PHONE, "has_touch": True, "is_mobile": True}, {"viewport": WIDE}):
        page = open_piece("as-written", **screen)
        _loop(page, 1, 6)
        page.keyboard.press("Escape")
        until(page, "document.activeElement === document.body")
        found = page.evaluate(BRACKETS)
        assert [bar for part in found for bar in part["over"]] == [1, 2, 3, 4, 5, 6]
        assert [part["begins"] for part in found] == [True, *[False] * (len(found) - 1)]
        assert [part["ends"] for part in found] == [*[False] * (len(found) - 1), True]
        assert all(part["above"] for part in found)
        if "has_touch" in screen:
            assert len(found) > 1, "over more than one system"
        # another stage has it too; taken away it is gone
        page.keyboard.press("[")
        until(page, "document.getElementById('piece').dataset.stage === 'block-chords'")
        until(page, "document.querySelectorAll('.loop-bracket').length > 0")
        page.click("#loop")
        assert page.evaluate(BRACKETS) == []


def test_a_loop_raises_its_tempo_to_the_goal_and_rests_a_bar_and_the_next_visit_knows(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    _loop(page, 4, 4)
    page.check("#loop-rise")
    assert page.input_value("#tempo") == "60"
    for name, value in (("from", "105"), ("by", "10"), ("every", "2"), ("to", "120")):
        page.fill(f"#rise-{name}", value)
        page.press(f"#rise-{name}", "Tab")
    page.check("#loop-pause")
    page.keyboard.press("Escape")
    assert page.inner_text("#beats").startswith("105 %")
    page.evaluate(
        "window.seen = []; const told = document.getElementById('beats');"
        "new MutationObserver(() => seen.push(parseInt(told.textContent))).observe(told, { childList: true })"
    )
    note_marks(page)
    page.click("#play")
    heard = wait_for_marks(page, 5)
    # between two rounds nothing sounds
    assert [mark["ids"] for mark in heard[:5]] == [["b-l4-0"], [], ["b-l4-0"], [], ["b-l4-0"]]
    until(page, "seen.includes(120)")
    wait_for_marks(page, 11)
    assert list(dict.fromkeys(page.evaluate("seen"))) == [115, 120]
    page.click("#play")
    page.wait_for_timeout(600)
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    assert page.inner_text("#beats").startswith("120 %")
    page.keyboard.press("p")
    assert [page.is_checked(f"#loop-{name}") for name in ("on", "pause", "rise")] == [True] * 3
    assert [page.input_value(f"#rise-{name}") for name in ("from", "by", "every", "to")] == ["105", "10", "2", "120"]


def test_a_start_beyond_a_loop_begins_with_the_loop(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    for _ in range(4):
        page.keyboard.press("+")
    _loop(page, 4, 5)
    page.keyboard.press("Escape")
    page.locator("[data-bar='7'] .bar-ground").first.click(position={"x": 60, "y": 8})
    assert bar_shown(page) == "Bar 8"
    note_marks(page)
    page.click("#play")
    assert wait_for_marks(page, 1)[0]["ids"] == ["b-l4-0"]
    # and while it plays a tap beyond it is back at its beginning
    page.locator("[data-bar='7'] .bar-ground").first.click(position={"x": 60, "y": 8})
    heard = wait_for_marks(page, 4)
    assert {note for mark in heard for note in mark["ids"]} <= {"b-l4-0", "b-l5-0"}
    page.click("#play")


def test_a_loop_set_behind_the_music_that_plays_is_played(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("r")
    for _ in range(4):
        page.keyboard.press("+")
    page.locator("[data-bar='5'] .bar-ground").first.click(position={"x": 60, "y": 8})
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 1)
    _loop(page, 0, 1)
    until(page, "heard.filter(({ ids }) => ids.includes('b-l1-0')).length >= 2")
    assert not page.evaluate("heard.some(({ ids }) => ids.includes('b-l7-0'))")


def test_a_loop_in_a_repeated_part_goes_on_in_the_pass_that_plays(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    for key in (*["Shift+ArrowRight"] * 3, *["+"] * 4):
        page.keyboard.press(key)
    note_marks(page)
    page.click("#play")
    # bar 4, then the second time from bar 1 on
    wait_for_marks(page, 3)
    at = page.evaluate("heard.at(-1).at")
    _loop(page, 0, 2)
    page.evaluate("heard.length = 0")
    until(page, "heard.filter(({ ids }) => ids.includes('b-l2-0')).length >= 1 && heard.at(-1).ids[0] === 'b-l0-0'")
    assert page.evaluate("heard.at(-1).at") > at - 6
    assert page.evaluate("heard.at(-1).at") > 4
