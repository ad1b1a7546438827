"""The music first: how much of it a page opens with, and what the head of the page and the bar at its foot hold."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, CDPSession, Locator, Page

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import bar_shown, note_marks, open_stage, until, until_stage, wait_for_marks
from tests.browser.seeing import music_in_view

TOUCH = {"has_touch": True, "is_mobile": True}
SIZES = [(320, 568), (375, 667), (390, 844), (844, 390), (820, 1180), (1280, 900)]
#: The least share of the screen, in a hundredth of it, that is music when a piece opens.
LEAST = {(390, 844): 60, (375, 667): 55, (844, 390): 60, (320, 568): 40}

#: What can be pressed in the bar, in its order: name, left, top, right, bottom.
KEYS = """[...document.querySelectorAll('#player .keys button')].filter((key) => key.checkVisibility()).map((key) => {
  const { left, top, right, bottom } = key.getBoundingClientRect();
  return [key.id || key.dataset.opens, left, top, right, bottom];
})"""
HELD = ["play", "slower", "faster", "loop", "practice", "step-down", "stage-name", "step-up", "written"]


def size_of(width: int, height: int) -> dict[str, int]:
    return {"width": width, "height": height}


@pytest.fixture
def open_prelude(open_page: OpenPage, demo: str) -> Iterator[OpenPage]:
    """Opens a stage of a piece of several systems, with a plan and side studies."""

    def opener(stage: str = "as-written", **options: object) -> Page:
        page = open_page(f"{demo}pieces/prelude-in-d-minor/stages/{stage}/index.html", **options)
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector("svg.engraving")
        return page

    return opener


def test_a_piece_opens_with_its_music_in_view(open_prelude: OpenPage) -> None:
    page = open_prelude(viewport=PHONE, **TOUCH)
    for (width, height), least in LEAST.items():
        page.set_viewport_size(size_of(width, height))
        page.reload()
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector("svg.engraving")
        assert page.evaluate("scrollY") == 0
        assert music_in_view(page) >= least, f"at {width} by {height}"
        # the title is read in full, and the task of today stands above the music
        title = page.locator("h1")
        assert title.evaluate("title => title.scrollWidth <= title.clientWidth")
        assert page.is_visible("#today-tick")
        top = page.locator("#music").evaluate("music => music.getBoundingClientRect().top")
        foot = page.locator("#today").evaluate("line => line.getBoundingClientRect().bottom")
        assert foot <= top


def test_the_bar_holds_all_that_is_needed_at_every_width(open_prelude: OpenPage) -> None:
    page = open_prelude(viewport=PHONE, **TOUCH)
    for width, height in SIZES:
        page.set_viewport_size(size_of(width, height))
        for text in ("100%", "200%"):
            page.evaluate("size => { document.documentElement.style.fontSize = size; }", text)
            page.wait_for_timeout(100)
            where = f"at {width} by {height}, text {text}"
            keys = page.evaluate(KEYS)
            assert [key[0] for key in keys][: len(HELD)] == HELD, where
            for name, left, top, right, bottom in keys:
                assert right - left >= 43.9, f"{name} {where}"
                assert bottom - top >= 43.9, f"{name} {where}"
                assert left >= 0, f"{name} {where}"
                assert right <= width, f"{name} {where}"
                assert bottom <= height, f"{name} {where}"
            boxes = [key[1:] for key in keys] + [page.evaluate(f"(({_BOX})(document.getElementById('beats')))")]
            for index, one in enumerate(boxes):
                for other in boxes[index + 1 :]:
                    apart = (
                        one[2] <= other[0] + 0.5
                        or other[2] <= one[0] + 0.5
                        or one[3] <= other[1] + 0.5
                        or other[3] <= one[1] + 0.5
                    )
                    assert apart, f"{one} {other} {where}"
            assert page.evaluate("document.documentElement.scrollWidth") <= width, where
            # what is last on the page, and in the music, can be scrolled clear of the bar
            for last in (".systems:has(svg) > .system:last-child", ".colophon a"):
                page.locator(last).last.evaluate("box => box.scrollIntoView({ block: 'end', behavior: 'instant' })")
                gap = page.evaluate(
                    "last => document.getElementById('player').getBoundingClientRect().top"
                    " - [...document.querySelectorAll(last)].at(-1).getBoundingClientRect().bottom",
                    last,
                )
                assert gap >= 0, f"{last} {where}"
            page.evaluate("scrollTo(0, 0)")


_BOX = """box => {
  const range = document.createRange();
  range.selectNodeContents(box);
  const { left, top, right, bottom } = range.getBoundingClientRect();
  return [left, top, right, bottom];
}"""


def test_the_bar_comes_early_by_keyboard_and_in_the_order_shown(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    reached = []
    for _ in range(20):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id || document.activeElement.dataset.opens || ''"))
    assert reached.index("play") == 1, "after the way to the music comes the bar"
    assert [name for name in reached if name in HELD] == HELD
    rows = page.evaluate(KEYS)
    assert [row[1] for row in rows] == sorted(row[1] for row in rows)
    page.set_viewport_size(PHONE)
    rows = page.evaluate(KEYS)
    assert [key[0] for key in sorted(rows, key=lambda key: (key[2] > rows[0][4], key[1]))] == [*HELD, "open-view"]


def test_tempo_is_told_in_the_note_that_is_the_beat(open_piece: OpenPage, open_prelude: OpenPage) -> None:
    page = open_piece("block-chords", viewport=PHONE, **TOUCH)
    page.tap("#faster")
    assert page.inner_text("#beats") == "105 % · 168"
    assert page.locator("#beats svg").get_attribute("aria-label") == "crotchet"
    page = open_prelude()
    # six quavers a bar are felt as two dotted crotchets
    assert (page.locator("#beats svg").get_attribute("aria-label") or "").startswith("dotted")
    assert page.locator("#beats svg circle").count() == 1


def test_a_step_down_a_step_up_and_the_whole_ladder(open_prelude: OpenPage) -> None:
    page = open_prelude("bass-line", viewport=PHONE, **TOUCH)
    slugs = page.evaluate("[...document.querySelectorAll('.ladder a')].map((link) => link.dataset.stage)")
    labels = page.evaluate("[...document.querySelectorAll('.ladder .number')].map((label) => label.textContent)")
    titles = page.evaluate("[...document.querySelectorAll('.ladder .name')].map((label) => label.textContent)")
    assert slugs[0] == "bass-line"
    assert page.get_attribute("#step-down", "aria-disabled") == "true"
    page.tap("#step-down", force=True)
    page.wait_for_timeout(200)
    assert page.get_attribute("#piece", "data-stage") == slugs[0]
    page.tap("#step-up")
    until_stage(page, slugs[1])
    until(page, f"document.querySelector('#stage-name .name').textContent === '{labels[1]} · {titles[1]}'")
    assert titles[2] in page.inner_text("#step-up")
    page.tap("#step-down")
    until_stage(page, slugs[0])
    # the sheet stands at the open stage, and goes when one is chosen
    page.tap("#stage-name")
    page.wait_for_selector("#stages[open]")
    assert page.evaluate("document.activeElement.dataset.stage") == slugs[0]
    assert page.locator("#stages .ladder a:visible").count() == len(slugs)
    page.tap(f"#stages a[data-stage='{slugs[2]}']")
    until_stage(page, slugs[2])
    assert page.is_hidden("#stages")
    assert page.evaluate("document.activeElement.id") == "stage-name"
    # by number in the order shown, first the steps and then, with letters, what stands beside the ladder
    steps = slugs.index("as-written") + 1
    assert labels == [*map(str, range(1, steps + 1)), *"abcd"]
    page.keyboard.press("4")
    until_stage(page, slugs[3])
    # a step leads from the side back to the ladder, and never to the side
    page.keyboard.press(str(steps + 1))
    until_stage(page, "harmonic-rhythm")
    page.tap("#step-up")
    until_stage(page, slugs[2])
    page.tap("#step-down")
    until_stage(page, slugs[1])
    page.keyboard.press("0")
    page.wait_for_selector("#stages[open]")
    assert "beside the ladder" in page.inner_text("#stages .ladder")
    page.keyboard.press(str(steps))
    until_stage(page, "as-written")
    assert page.is_hidden("#stages")
    assert page.get_attribute("#step-up", "aria-disabled") == "true"
    # arrows choose from the list no other stage, and Enter opens what is in focus
    page.keyboard.press("0")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    until_stage(page, slugs[steps - 2])


def _finger(touch: CDPSession, on: Locator, kind: str) -> None:
    """A finger set down on a key, or lifted from it."""
    box = on.bounding_box()
    assert box is not None
    at = [] if kind == "touchEnd" else [{"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}]
    touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})


def test_the_score_as_written_while_held_or_after_a_tap(open_prelude: OpenPage) -> None:
    page = open_prelude("bass-line", viewport=PHONE, **TOUCH)
    key = page.locator("#written")
    touch = page.context.new_cdp_session(page)
    box = page.locator(".systems:visible .system").nth(2)
    box.evaluate("box => box.scrollIntoView({ block: 'start', behavior: 'instant' })")
    first = int(box.get_attribute("data-first") or "")
    until(page, f"location.hash === '#bar-{first + 1}'")
    _finger(touch, key, "touchStart")
    until_stage(page, "as-written")
    assert key.get_attribute("aria-pressed") == "true"
    here = "[...document.querySelectorAll('.system')].filter((box) => box.offsetParent &&"
    shown = f"{here} box.getBoundingClientRect().bottom > 20)[0].dataset"
    page.wait_for_timeout(600)
    assert int(page.evaluate(f"{shown}.first")) <= first <= int(page.evaluate(f"{shown}.last"))
    _finger(touch, key, "touchEnd")
    until_stage(page, "bass-line")
    assert key.get_attribute("aria-pressed") == "false"
    until(page, f"{shown}.first === '{first}'")
    # tapped it stays, and a tap leads back
    key.tap()
    until_stage(page, "as-written")
    page.wait_for_timeout(600)
    assert page.get_attribute("#piece", "data-stage") == "as-written"
    key.tap()
    until_stage(page, "bass-line")
    # by keyboard the same, on the key and by its letter
    key.focus()
    page.keyboard.press("Enter")
    until_stage(page, "as-written")
    page.keyboard.press("Enter")
    until_stage(page, "bass-line")
    page.keyboard.press("w")
    until_stage(page, "as-written")
    page.keyboard.press("w")
    until_stage(page, "bass-line")
    page.keyboard.down("w")
    until_stage(page, "as-written")
    page.wait_for_timeout(600)
    page.keyboard.up("w")
    until_stage(page, "bass-line")
    until(page, f"{shown}.first === '{first}'")
    # a stage that is chosen meanwhile is not left again
    key.tap()
    until_stage(page, "as-written")
    page.keyboard.press("2")
    until(page, "document.getElementById('written').getAttribute('aria-pressed') === 'false'")
    chosen = page.get_attribute("#piece", "data-stage") or ""
    key.tap()
    until_stage(page, "as-written")
    key.tap()
    until_stage(page, chosen)


def test_what_is_shown_with_the_music_is_chosen_while_it_is_seen(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=size_of(320, 568), **TOUCH)
    assert page.is_hidden("#view")
    page.tap("#open-view")
    assert page.get_attribute("#open-view", "aria-expanded") == "true"
    page.select_option("#hands", "right")
    page.tap("[data-view='tension']")
    until(page, "document.querySelector('.strip') !== null")
    assert page.get_attribute("#piece", "data-hands") == "right"
    page.tap("#open-view")
    assert page.is_hidden("#view")


def test_the_task_of_today_is_ticked_where_it_stands(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=PHONE, **TOUCH)
    task = "document.getElementById('today-task').textContent"
    assert page.inner_text("#today-day") == "Day 1"
    assert page.evaluate(task) == "Bass alone, by heart"
    page.tap("#today label")
    assert page.evaluate("document.querySelector(\"[data-task='1.1']\").checked")
    # a tick can be taken back
    page.tap("#today label")
    assert not page.evaluate("document.querySelector(\"[data-task='1.1']\").checked")
    page.locator("#today-tick").focus()
    page.keyboard.press(" ")
    until(page, f"{task} === 'Blocked chords'")
    assert not page.is_checked("#today-tick")
    # one tap leads to its stage and its bars
    page.tap("#today .to-bars")
    until(page, "document.getElementById('loop').getAttribute('aria-pressed') === 'true'")
    assert bar_shown(page) in ("Bar 5", "Bar 6")
    page.keyboard.press(" ")
    # it is that of the next visit, and the plan itself is a tap away
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    assert page.evaluate(task) == "Blocked chords"
    page.tap("#today summary")
    assert page.is_visible("#plan-note")
    for number in ("1.2", "2.1"):
        page.locator(f"[data-task='{number}']").check()
    assert page.inner_text("#today label") == "All of the plan is ticked."
    page.locator("[data-task='1.1']").uncheck()
    assert page.evaluate(task) == "Bass alone, by heart"


def test_what_is_unfolded_moves_nothing_and_leads_on(open_prelude: OpenPage) -> None:
    page = open_prelude("bass-line", viewport=PHONE, **TOUCH)
    top = "document.getElementById('music').getBoundingClientRect().top"
    before = page.evaluate(top)
    page.tap("#today summary")
    assert page.is_visible("#plan")
    assert page.evaluate(top) == before
    # one at a time, and Escape takes it away
    page.tap(".about summary")
    assert page.is_hidden("#plan")
    assert page.is_visible(".about .facts")
    assert page.evaluate(top) == before
    # what one line cuts off is read there
    sentence = page.locator(".unfolded .listen")
    assert page.text_content("summary .listen") == sentence.inner_text()
    assert sentence.evaluate("line => line.scrollWidth <= line.clientWidth")
    page.keyboard.press("Escape")
    assert page.is_hidden(".about .facts")
    assert page.evaluate("document.activeElement.matches('.about summary')")
    # after another stage the address is another, and the links lead on within this page
    page.keyboard.press("]")
    until(page, "location.href.includes('/outer-voices/')")
    assert page.text_content("summary .listen") == page.text_content(".unfolded .listen")
    page.evaluate("window.same = true")
    for part in ("#commentary-title", "#away-title"):
        page.evaluate("scrollTo(0, 0)")
        page.tap(".about summary")
        page.tap(f".contents a[href='{part}']")
        assert page.is_hidden(".about .facts")
        until(page, f"document.querySelector('{part}').getBoundingClientRect().top < innerHeight / 2")
        assert page.locator(part).evaluate("title => title.getBoundingClientRect().top") >= 0
    assert page.evaluate("window.same") is True
    # the place in the music is still there
    note_marks(page)
    page.tap("#play")
    wait_for_marks(page, 1)
    assert bar_shown(page) == "Bar 1"
    page.tap("#play")
    page.evaluate("scrollTo(0, 0)")
    page.tap(".about summary")
    page.touchscreen.tap(195, 600)
    assert page.is_hidden(".about .facts")


def test_without_scripts_the_ladder_is_in_the_head_of_the_page(browser: Browser, trial: str) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{trial}pieces/eight-bars/stages/bass-line/index.html")
    assert page.inner_text("#stage-title") == "Bass line"
    page.click(".about summary")
    page.click(".ladder a[data-stage='as-written']")
    assert page.url.endswith("/stages/as-written/index.html")
    assert page.inner_text("#stage-title") == "As written"
    context.close()


def test_the_sheet_of_the_ladder_is_reached_in_two_taps_while_it_plays(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=size_of(844, 390), **TOUCH)
    note_marks(page)
    page.tap("#play")
    wait_for_marks(page, 1)
    open_stage(page, "as-written")
    until_stage(page, "as-written")
    assert page.get_attribute("#play", "aria-label") == "Pause"
    assert page.is_hidden("#stages")
