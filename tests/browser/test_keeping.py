"""What stays on the device: the plan, the settings, and the piece itself without a connection."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import (
    attend_to_sound,
    loudest,
    note_contexts,
    note_marks,
    open_stage,
    unfold_plan,
    until,
    until_hands,
    wait_for_marks,
)
from tests.browser.serving import serving
from tests.browser.trial_site import write_offline_lists

_LISTS_AND_SOUNDS = (
    "(async () => [(await (await caches.open('lists')).keys()).length,"
    " (await (await caches.open('sounds')).keys()).length])()"
)
_AT_REST = 40  # times that nothing more has come: recordings arrive one after the other


def wait_until_kept(page: Page) -> None:
    """Until the site, the piece and all its sounds are on the device."""
    before, quiet = [0, 0], 0
    for _ in range(1200):
        lists, sounds = now = page.evaluate(_LISTS_AND_SOUNDS)
        quiet = quiet + 1 if now == before and lists == 2 and sounds > 5 else 0
        if quiet == _AT_REST:
            return
        before = now
        page.wait_for_timeout(50)
    raise AssertionError(f"never kept: {before} lists and sounds")


def test_plan_says_what_to_practise_and_which_bars_and_goes_there(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    unfold_plan(page)
    assert page.inner_text(".plan li:nth-child(1)").split("\n") == ["Bass alone, by heart", "The whole of it"]
    page.click(".plan >> text=Bars 5 to 8")
    until(page, "document.querySelector('#stage-title').textContent.includes('Block')")
    until(page, "document.querySelector('#place').textContent.startsWith('Bar 5')")


def test_plan_is_kept_on_the_device_and_goes_out_and_in_as_a_file(open_piece: OpenPage, tmp_path: Path) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    unfold_plan(page)
    page.check("[data-task='1.2']")
    page.fill("#plan-note", "slowly")
    page.reload()
    page.wait_for_selector("#plan-save:not([disabled])", state="attached")
    assert page.is_checked("[data-task='1.2']")
    assert page.input_value("#plan-note") == "slowly"
    unfold_plan(page)
    with page.expect_download() as saved:
        page.click("#plan-save")
    file = tmp_path / "plan.json"
    saved.value.save_as(file)
    assert json.loads(file.read_text())["done"] == ["1.2"]

    other = open_piece("bass-line", viewport=WIDE)
    assert not other.is_checked("[data-task='1.2']")
    other.set_input_files("#plan-open", file)
    until(other, "document.querySelector(\"[data-task='1.2']\").checked")
    assert other.input_value("#plan-note") == "slowly"
    (tmp_path / "photo.json").write_text('{"kind": "something else"}')
    other.set_input_files("#plan-open", tmp_path / "photo.json")
    until(other, "document.getElementById('saying').textContent.startsWith('This file is not')")
    assert other.is_checked("[data-task='1.2']")


def test_light_and_size_are_kept_and_there_from_the_first_pixel(open_piece: OpenPage) -> None:
    page = open_piece("as-written", viewport=WIDE)
    page.keyboard.press("o")
    page.check("input[name='light'][value='dark']")
    page.check("input[name='size'][value='largest']")
    page.keyboard.press("Escape")
    until(page, "document.querySelector('.systems[data-layout=phone] svg.engraving') !== null")
    page.reload()
    assert page.evaluate("document.documentElement.dataset.light") == "dark"
    assert page.evaluate("getComputedStyle(document.body.parentElement).backgroundColor") == "rgb(28, 26, 23)"
    page.wait_for_selector(".systems[data-layout=phone] svg.engraving")
    assert page.evaluate("getComputedStyle(document.querySelector('.systems[data-layout=wide]')).display") == "none"


@pytest.mark.parametrize("viewport", [PHONE, {"width": 820, "height": 1180}, WIDE], ids=["phone", "tablet", "desk"])
def test_notes_have_three_sizes(open_piece: OpenPage, viewport: dict[str, int]) -> None:
    page = open_piece("as-written", viewport=viewport)
    staff = "document.querySelector('.systems svg.engraving .staff')?.getBoundingClientRect().height"
    wide = "document.documentElement.scrollWidth > innerWidth"
    until(page, staff)
    before = page.evaluate(staff)
    page.keyboard.press("o")
    for size in ("larger", "largest"):
        page.check(f"input[name='size'][value='{size}']")
        until(page, f"{staff} > 1.1 * {before}")
        before = page.evaluate(staff)
        assert not page.evaluate(wide)


def _visit_and_lose_connection(page: Page) -> None:
    wait_until_kept(page)
    page.context.set_offline(True)


def test_after_one_visit_the_piece_works_without_a_connection(open_piece: OpenPage, trial: str) -> None:
    page = open_piece("bass-line", viewport=PHONE)
    _visit_and_lose_connection(page)
    page.goto(f"{trial}pieces/eight-bars/stages/as-written/index.html")
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    note_marks(page)
    attend_to_sound(page)
    page.click("#play")
    assert wait_for_marks(page, 2)[0]["ids"]
    assert page.inner_text("#saying") == "Playing from bar 1"
    assert loudest(page, 900) > 0.01
    page.click("#play")
    page.keyboard.press("h")
    page.wait_for_selector(".strip text")
    page.keyboard.press(".")
    page.wait_for_selector("#card:not([hidden])")
    page.keyboard.press("a")
    page.keyboard.press("a")
    until_hands(page, "left")
    open_stage(page, "block-chords")
    page.wait_for_selector("[data-note='k-l0-1']")
    # paper needs a connection, and that is said
    page.goto(f"{trial}pieces/eight-bars/print.html")
    assert page.inner_text("h1") == "Not on this device"
    page.click(".prose >> text=To the pieces")
    page.wait_for_selector(".leaf")
    assert page.evaluate("fetch('pieces/eight-bars/piece.json').then((answer) => answer.ok)")
    page.context.set_offline(False)


def test_a_piece_that_is_set_is_kept_before_it_is_opened(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}index.html", viewport=PHONE)
    page.wait_for_selector(".keep:not(.waits)")
    page.click(".keep")
    page.wait_for_selector(".keep[aria-pressed=true]")
    assert re.fullmatch(r"Kept on this device: 0\.\d MB", page.inner_text(".keep"))
    wait_until_kept(page)
    page.context.set_offline(True)
    page.click(".leaf a")
    page.wait_for_selector("#player:not([hidden])")
    attend_to_sound(page)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    assert loudest(page, 900) > 0.01
    page.context.set_offline(False)
    page.goto(f"{trial}index.html")
    page.wait_for_selector(".keep[aria-pressed=true]")


_COME = """(async () => {
  const names = (await caches.keys()).filter((name) => name.includes("/pieces/eight-bars/ "));
  const there = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
  return [names.length, there.flat().map(({ url }) => url.split("/eight-bars/")[1])];
})()"""


def _asked_for_keeping(asked: list[str]) -> list[str]:
    """What was asked for of the piece after its list."""
    paths = [path.split("/eight-bars/")[1] for path in asked if "/eight-bars/" in path]
    return paths[len(paths) - paths[::-1].index("offline.json") :]


def test_what_is_broken_off_serves_and_goes_on_where_it_was(
    open_page: OpenPage, trial_root: Path, tmp_path: Path
) -> None:
    root = tmp_path / "site"
    shutil.copytree(trial_root, root)
    asked: list[str] = []
    missing = root / "pieces" / "eight-bars" / "stages" / "as-written" / "wide-1.svg"
    sheet = missing.read_bytes()
    missing.write_bytes(b"<svg/>")  # as if the site had changed on the way: another layout, so it comes last
    with serving(root, lambda path, _: asked.append(path)) as address:
        stage = f"{address}pieces/eight-bars/stages/block-chords/index.html"
        page = open_page(stage, viewport=PHONE)
        said = "document.querySelector('#kept').textContent"
        until(page, f"{said} === 'Not all of it is kept yet; the next visit goes on'")
        number, come = page.evaluate(_COME)
        assert number == 1
        assert "stages/block-chords/phone-1.svg" in come
        assert "stages/as-written/wide-1.svg" not in come
        assert not [path for path in come if path.endswith((".mid", ".musicxml", "print.html"))]
        kept = _asked_for_keeping(asked)
        first = kept.index("stages/block-chords/phone-1.svg")
        assert first < kept.index("stages/as-written/phone-1.svg") < kept.index("stages/bass-line/phone-1.svg")
        assert kept.index("stages/bass-line/phone-1.svg") < kept.index("stages/block-chords/wide-1.svg")
        # without a connection, what has come of it serves, once the scripts of all pages have come too
        for _ in range(100):
            if page.evaluate("caches.open('lists').then((l) => l.match('/offline.json')).then((f) => f !== undefined)"):
                break
            page.wait_for_timeout(100)
        page.context.set_offline(True)
        page.goto(f"{address}pieces/eight-bars/stages/as-written/index.html")
        page.wait_for_selector("svg.engraving")
        page.context.set_offline(False)
        missing.write_bytes(sheet)
        asked.clear()
        page.goto(stage)
        until(page, f"{said}.startsWith('Kept on this device: ')")
        assert [path for path in _asked_for_keeping(asked) if path.endswith("-1.svg")] == [
            "stages/as-written/wide-1.svg"
        ]


def test_a_full_device_is_told_of_and_the_page_works(open_page: OpenPage, trial_root: Path, tmp_path: Path) -> None:
    root = tmp_path / "site"
    shutil.copytree(trial_root, root)
    worker = root / "worker.js"
    full = "Cache.prototype.put = async () => { throw new DOMException('', 'QuotaExceededError'); };"
    worker.write_text(full + worker.read_text())
    with serving(root) as address:
        page = open_page(f"{address}pieces/eight-bars/index.html", viewport=PHONE)
        until(page, "document.querySelector('#kept').textContent.endsWith('this device has no room left')")
        note_marks(page)
        page.click("#play")
        wait_for_marks(page, 1)


def test_where_nothing_may_be_kept_the_page_works(open_page: OpenPage, trial_root: Path, tmp_path: Path) -> None:
    root = tmp_path / "site"
    shutil.copytree(trial_root, root)
    worker = root / "worker.js"
    refuses = "CacheStorage.prototype[name] = async () => { throw new Error(); };"
    worker.write_text(f"for (const name of ['open', 'keys', 'match']) {refuses}\n{worker.read_text()}")
    with serving(root) as address:
        page = open_page(f"{address}pieces/eight-bars/index.html", viewport=PHONE)
        until(page, "navigator.serviceWorker.controller !== null")
        page.reload()
        page.wait_for_selector("svg.engraving")
        note_marks(page)
        page.click("#play")
        wait_for_marks(page, 1)


def test_a_new_version_is_taken_whole_or_not_at_all(open_page: OpenPage, trial_root: Path, tmp_path: Path) -> None:
    root = tmp_path / "site"
    shutil.copytree(trial_root, root)
    with serving(root) as address:
        url = f"{address}pieces/eight-bars/index.html"
        page = open_page(url, viewport=WIDE)
        wait_until_kept(page)
        folder = root / "pieces" / "eight-bars"
        place = folder / "index.html"
        place.write_text(place.read_text().replace("Eight Bars</h1>", "Nine Bars</h1>"))
        page.reload()
        page.wait_for_timeout(2500)
        # The list still tells of the old page: what does not fit it is not taken.
        assert page.inner_text("h1") == "Eight Bars"
        write_offline_lists(root)
        page.reload()
        until(page, "document.getElementById('saying').textContent.startsWith('A newer version')")
        assert page.inner_text("h1") == "Eight Bars"
        page.reload()
        assert page.inner_text("h1") == "Nine Bars"


def test_sound_is_asked_for_as_playback(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.evaluate("Object.defineProperty(navigator, 'audioSession', { value: { type: 'auto' } })")
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 1)
    assert page.evaluate("navigator.audioSession.type") == "playback"


def test_an_older_phone_whose_ringer_is_off_is_made_to_sound(open_piece: OpenPage) -> None:
    agent = "Mozilla/5.0 (iPhone; CPU iPhone OS 15_0 like Mac OS X) AppleWebKit/605.1.15"
    page = open_piece("bass-line", user_agent=agent)
    page.evaluate(
        "window.loops = []; const play = HTMLMediaElement.prototype.play;"
        "HTMLMediaElement.prototype.play = function () { loops.push([this.loop, this.src]); return play.call(this); };"
        "undefined"
    )
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    loops = page.evaluate("loops")
    assert [(loop, source.rsplit("/", 1)[1]) for loop, source in loops] == [(True, "silence.wav")]


def test_an_interruption_pauses_and_the_next_tap_sounds(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    note_contexts(page)
    attend_to_sound(page)
    note_marks(page)
    page.click("#play")
    before = len(wait_for_marks(page, 1))
    # as a telephone call does
    page.evaluate("contexts[0].suspend()")
    page.wait_for_selector("#play:not([data-playing])")
    page.click("#play")
    wait_for_marks(page, before + 2)
    assert loudest(page, 900) > 0.01


def test_what_a_pupil_notes_is_sent_nowhere(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.method + " " + asked.url))
    unfold_plan(page)
    page.check("[data-task='1.2']")
    page.fill("#plan-note", "slowly")
    page.wait_for_timeout(300)
    assert [each for each in sent if not each.startswith("GET ") or "slowly" in each] == []
    assert "slowly" in page.evaluate("localStorage.getItem('plan:eight-bars')")


def test_a_dead_sound_is_built_anew(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    note_contexts(page)
    note_marks(page)
    page.click("#play")
    before = len(wait_for_marks(page, 1))
    page.evaluate("contexts[0].close()")
    page.wait_for_selector("#play:not([data-playing])")
    page.click("#play")
    wait_for_marks(page, before + 2)
    assert page.evaluate("contexts.length") == 2
