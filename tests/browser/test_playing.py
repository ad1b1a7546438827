"""Playing a stage: what is marked, where the music goes, and what stays in its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import (
    attend_to_sound,
    bar_shown,
    loudest,
    marks,
    note_marks,
    open_stage,
    sounding_at,
    start_slowly_with_count_in,
    timing_of,
    until,
    until_bar,
    until_stage,
    wait_for_marks,
)


@pytest.fixture
def folder(trial_root: Path) -> Path:
    return trial_root / "pieces" / "eight-bars"


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
def test_notes_are_marked_as_the_timing_file_says(open_piece: OpenPage, folder: Path, viewport: dict[str, int]) -> None:
    page = open_piece("as-written", viewport=viewport)
    note_marks(page)
    page.click("#play")
    heard = wait_for_marks(page, 12)
    timing = timing_of(folder, "as-written")
    assert [mark["at"] for mark in heard] == sorted(mark["at"] for mark in heard)
    for mark in heard:
        assert set(mark["ids"]) == sounding_at(timing, mark["at"])
    onsets = {note["id"]: note["on"] for note in reversed(timing["notes"])}
    # notes that come in one frame have no order among themselves
    in_order = (note for mark in heard for note in sorted(mark["ids"], key=onsets.__getitem__))
    first_seen = [onsets[note] for note in dict.fromkeys(in_order)]
    assert first_seen == sorted(first_seen)
    assert len(first_seen) > 10


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
def test_stage_changes_while_playing_and_stays_at_the_bar(
    open_piece: OpenPage, folder: Path, viewport: dict[str, int]
) -> None:
    page = open_piece("block-chords", viewport=viewport)
    note_marks(page)
    page.click("#play")
    until_bar(page, "2")
    before = len(wait_for_marks(page, 4))
    at = marks(page)[-1]["at"]
    open_stage(page, "as-written")
    until_stage(page, "as-written")
    heard = wait_for_marks(page, before + 3)[before:]
    timing = timing_of(folder, "as-written")
    own = [mark for mark in heard if any(note.startswith("l") for note in mark["ids"])]
    assert own
    for mark in own:
        assert at <= mark["at"] < at + 3
        assert set(mark["ids"]) == sounding_at(timing, mark["at"])
    assert page.get_attribute("#play", "aria-label") == "Pause"
    assert page.url.partition("#")[0].endswith("/stages/as-written/index.html")
    page.wait_for_selector(".sounding[data-note]")


def test_stage_changed_at_rest_keeps_the_bar_where_the_eye_is(open_piece: OpenPage) -> None:
    page = open_piece("as-written")
    for _ in range(5):
        page.keyboard.press("Shift+ArrowRight")
    where = "[...document.querySelectorAll('.system')].find((box) => box.offsetParent && +box.dataset.first <= 5 && 5 <= +box.dataset.last).getBoundingClientRect().top"  # noqa: E501
    page.evaluate(f"scrollBy(0, {where} - 300)")
    assert abs(page.evaluate(where) - 300) < 2
    page.keyboard.press("[")
    until_stage(page, "block-chords")
    assert bar_shown(page) == "Bar 6"
    assert abs(page.evaluate(where) - 300) < 2


def test_playing_starts_from_the_tapped_bar(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.locator("[data-bar='2'] .bar-ground").first.click(position={"x": 60, "y": 8})
    assert bar_shown(page) == "Bar 3"
    note_marks(page)
    page.click("#play")
    assert wait_for_marks(page, 1)[0]["ids"] == ["b-l2-0"]


def test_tempo_is_shown_in_beats_and_kept_between_its_bounds(open_piece: OpenPage) -> None:
    page = open_piece()
    page.click("#faster")
    assert page.inner_text("#beats") == "105 % · 168"
    for _ in range(10):
        page.click("#faster")
    assert page.inner_text("#beats") == "120 % · 192"
    for _ in range(25):
        page.keyboard.press("-")
    assert page.inner_text("#beats") == "30 % · 48"


def test_loop_between_two_tapped_bars_never_leaves_them(open_piece: OpenPage, folder: Path) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.evaluate("document.getElementById('tempo').value = 120")
    page.dispatch_event("#tempo", "input")
    page.click("#loop")
    for bar in (4, 5):
        page.locator(f"[data-bar='{bar}'] .bar-ground").first.click(position={"x": 60, "y": 8})
    assert page.inner_text("#saying") == "Looping bars 5 to 6."
    note_marks(page)
    page.click("#play")
    heard = wait_for_marks(page, 4)
    sounded = [mark["ids"] for mark in heard if mark["ids"]]
    assert sounded[:4] == [["b-l4-0"], ["b-l5-0"], ["b-l4-0"], ["b-l5-0"]]
    page.click("#loop")
    assert page.get_attribute("#loop", "aria-pressed") == "false"


def test_count_in_marks_nothing_before_the_music(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    start_slowly_with_count_in(page)
    page.wait_for_timeout(600)
    assert marks(page) == []
    page.click("#play")
    page.keyboard.press("c")
    page.click("#play")
    assert wait_for_marks(page, 1)[0]["ids"] == ["b-l0-0"]


def test_repeats_are_played_as_printed_or_once(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.keyboard.press("r")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    for _ in range(4):
        page.keyboard.press("+")
    note_marks(page)
    page.click("#play")
    assert [mark["ids"] for mark in wait_for_marks(page, 2)] == [["b-l3-0"], ["b-l4-0"]]


def test_a_silent_hand_is_said_and_shown(open_piece: OpenPage) -> None:
    page = open_piece()
    page.keyboard.press("s")
    assert page.inner_text("#saying") == "Left hand off"
    assert page.input_value("#loud-left") == "0"
    page.keyboard.press("s")
    assert page.input_value("#loud-left") == "100"


def test_the_page_turns_a_system_ahead(open_piece: OpenPage) -> None:
    page = open_piece("as-written", viewport={"width": 390, "height": 600}, reduced_motion="reduce")
    for _ in range(4):
        page.keyboard.press("+")
    page.click("#play")
    until_bar(page, "4")
    until(
        page,
        "(() => { const bottom = innerHeight - document.getElementById('player').offsetHeight;"
        "const boxes = [...document.querySelectorAll('.system')].filter((box) => box.offsetParent);"
        "const at = boxes.findIndex((box) => box.querySelector('.here'));"
        "const [here, next] = [boxes[at], boxes[at + 1]].map((box) => box.getBoundingClientRect());"
        "return here.top >= 0 && next.bottom <= bottom; })()",
    )


def test_the_music_ends_and_begins_again(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    for _ in range(7):
        page.keyboard.press("Shift+ArrowRight")
    for _ in range(4):
        page.keyboard.press("+")
    page.click("#play")
    page.wait_for_selector("#play:not([data-playing])")
    until_bar(page, "1")
    assert page.locator(".sounding").count() == 0


def test_both_rows_of_the_comparison_are_marked(open_piece: OpenPage, folder: Path) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.click("[data-view='both']")
    page.wait_for_selector(".pairs")
    page.evaluate(
        """() => {
          window.rows = [];
          const marked = (row) => [...document.querySelectorAll(`.pair svg:nth-of-type(${row}) .sounding`)]
            .map((note) => note.dataset.note);
          document.getElementById("music").addEventListener("sounding", (event) => {
            const { at } = event.detail;
            requestAnimationFrame(() => rows.push({ at, upper: marked(1), lower: marked(2) }));
          });
        }"""
    )
    page.click("#play")
    until(page, "window.rows.length >= 4")
    rows = page.evaluate("rows.slice(0, 4)")
    upper, lower = timing_of(folder, "bass-line"), timing_of(folder, "as-written")
    for row in rows:
        assert set(row["upper"]) == sounding_at(upper, row["at"])
        # what is read a frame later may have gone on by one note
        near = [sounding_at(lower, row["at"] + later / 100) for later in range(6)]
        assert set(row["lower"]) in near
    page.click("#play")
    page.wait_for_selector("#play:not([data-playing])")
    assert page.locator(".sounding").count() == 0


def test_sounding_notes_are_marked_by_more_than_colour(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    shape = (
        "(head) => { const look = getComputedStyle(head);"
        " return [parseFloat(look.strokeWidth), look.paintOrder.split(' ')[0]]; }"
    )
    assert page.locator("svg.engraving .notehead").first.evaluate(shape)[0] == 0
    page.click("#play")
    page.wait_for_selector(".sounding .notehead")
    width, order = page.locator(".sounding .notehead").first.evaluate(shape)
    # a ring around the head, painted behind it
    assert width > 100
    assert order == "stroke"


def test_a_repeat_marks_the_same_printed_notes_twice(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    for key in (*["Shift+ArrowRight"] * 3, *["+"] * 4):
        page.keyboard.press(key)
    note_marks(page)
    page.click("#play")
    assert [mark["ids"] for mark in wait_for_marks(page, 3)] == [["b-l3-0"], ["b-l0-0"], ["b-l1-0"]]
    assert page.locator("[data-note='b-l1-0'].sounding").count() == 1


def test_playing_from_a_tapped_bar_goes_on_from_there_while_it_plays(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 1)
    page.locator("[data-bar='6'] .bar-ground").first.click(position={"x": 60, "y": 8})
    until(page, "window.heard.some((mark) => mark.ids.includes('b-l6-0'))")
    assert {"b-l3-0", "b-l4-0"}.isdisjoint(note for mark in marks(page) for note in mark["ids"])


def test_the_metronome_is_heard_with_both_hands_silent(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    attend_to_sound(page)
    for key in "sd":
        page.keyboard.press(key)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    assert loudest(page, 900) < 1e-4
    page.keyboard.press("m")
    assert page.inner_text("#saying") == "Metronome on"
    assert loudest(page, 1200) > 0.05


def test_the_count_in_is_heard_before_anything_is_marked(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    attend_to_sound(page)
    start_slowly_with_count_in(page)
    assert loudest(page, 900) > 0.05
    assert marks(page) == []


def test_each_hand_has_a_loudness_of_its_own(open_piece: OpenPage) -> None:
    heard = {}
    for loudness in (100, 30):
        page = open_piece("bass-line")
        attend_to_sound(page)
        page.keyboard.press("p")
        page.fill("#loud-left", str(loudness))
        page.keyboard.press("Escape")
        page.click("#play")
        page.wait_for_selector("#play[data-playing]")
        heard[loudness] = loudest(page, 1500)
    # 30 of 100 is a tenth of the deflection
    assert 0.05 < heard[30] / heard[100] < 0.2
