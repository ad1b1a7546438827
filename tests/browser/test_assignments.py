"""An assignment on a phone: today first, one tap to the music, ticks that stay, a text for the teacher; and a site that
lies in a folder of somebody else's host."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urljoin

import pytest
from playwright.sync_api import Browser

from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.unlisted import folder_of
from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.browser.test_access import axe
from tests.browser.weighing import fetched_at, scripts_of
from tests.building.test_assignments import SECRET, WEEK, assign, studio
from tests.elements import elements_of

OURS = folder_of(SECRET, "assignment", "blue-3")
BELOW = "a/b/"
SCRIPT_LIMIT = 10_000
"""Bytes of the scripts of a page of what is set, compressed."""


@pytest.fixture(scope="module")
def deep_root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The root of a host, with a site in a folder two deep."""
    root = tmp_path_factory.mktemp("deep")
    content = studio(root)
    assign(content, "blue-3", *WEEK, "hand: small", "set: [{piece: march, stage: outer voices, bars: 1-4, day: 1}, "
           "{piece: waltz, stage: as written, day: 2}, {piece: march, stage: as written, day: 2}]")  # fmt: skip
    assign(content, "old", "begins: 2026-01-05", "ends: 2026-01-09", "set: [{piece: waltz, day: 1}]")
    build_site(content, root / "site", Store(root / "cache"), 0, lambda *_: None)
    (root / "host" / "a").mkdir(parents=True)
    shutil.move(root / "site", root / "host" / BELOW)
    return root / "host"


@pytest.fixture(scope="module")
def deep(deep_root: Path) -> Iterator[str]:
    with serving(deep_root) as address:
        yield address + BELOW


@pytest.mark.parametrize("folder", [OURS, folder_of(SECRET, "week")], ids=["assignment", "week"])
def test_pages_of_what_is_set_have_little_script(browser: Browser, deep: str, folder: str) -> None:
    assert 0 < scripts_of(fetched_at(browser, f"{deep}{folder}index.html")) <= SCRIPT_LIMIT


def test_every_link_of_every_page_leads_somewhere_below_the_site(deep_root: Path) -> None:
    site = deep_root / BELOW
    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 20
    for page in pages:
        here = f"https://host.example/{BELOW}{page.relative_to(site).as_posix()}"
        for tag, given in elements_of(page.read_text(encoding="utf-8")):
            for name in ("href", "src", "data-piece"):
                target = given.get(name)
                if tag is None or not target or re.match(r"[a-z]+:", target):
                    continue
                there = urljoin(here, target).partition("#")[0]
                assert there.startswith(f"https://host.example/{BELOW}"), (page, target)
                place = site / there.removeprefix(f"https://host.example/{BELOW}")
                assert place.is_file() or (place / "index.html").is_file(), (page, target)


def test_today_stands_first_and_leads_to_the_music_with_one_tap(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}about/index.html")
    page.clock.set_fixed_time("2026-12-01T16:00:00")
    page.goto(f"{deep}{OURS}index.html")
    page.wait_for_selector("#set-today section")
    assert page.inner_text("#set-today h2") == "Today: Tuesday 1 December"
    assert page.locator("#set-today li").count() == 2
    assert page.locator("#days section h2").all_inner_texts() == ["Monday 30 November"]
    page.click("#days a.to-music")
    page.wait_for_selector("#player:not([hidden])")
    assert "/stages/outer-voices/index.html" in page.url
    assert page.inner_text("h1") == "March"


def test_ticks_stay_and_become_a_text_for_the_teacher(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}{OURS}index.html")
    page.wait_for_selector("#report-part:not([hidden])")
    assert page.input_value("#report").splitlines()[1:] == ["Nothing is ticked yet."]
    page.check("input[data-task] >> nth=0")
    page.fill("#own-word", "The left hand was hard.")
    page.reload()
    page.wait_for_selector("#report-part:not([hidden])")
    assert page.is_checked("input[data-task] >> nth=0")
    head, done, first, left, word = page.input_value("#report").splitlines()
    assert head == "blue-3, Monday 30 November to Sunday 6 December"
    assert (done, left, word) == ("Done:", "Still to do: 2", "The left hand was hard.")
    assert first == "- March: Outer voices (Bars 1 to 4)"
    page.click("#copy")
    page.wait_for_selector("#copy-said:not(:empty)")
    assert page.inner_text("#copy-said") in ("Copied. Paste it into a message.", "Mark the text and copy it.")


def test_the_week_shows_what_is_set_in_it_and_all_else_where_it_is_asked_for(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}about/index.html")
    page.clock.set_fixed_time("2026-12-03T09:00:00")
    page.goto(f"{deep}{folder_of(SECRET, 'week')}index.html")
    page.wait_for_selector("#show-all:not([hidden])")
    assert page.locator(".week-part:visible h2").all_inner_texts() == ["blue-3"]
    page.click("#show-all")
    assert page.locator(".week-part:visible h2").all_inner_texts() == ["blue-3", "old"]


def test_a_page_in_a_folder_of_a_host_is_kept_there(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}index.html")
    page.click("a[href='pieces/march/index.html']")
    page.wait_for_selector("#player:not([hidden])")
    page.evaluate("navigator.serviceWorker.ready.then((one) => one.scope)")
    assert page.evaluate("navigator.serviceWorker.ready.then((one) => one.scope)") == deep


def test_on_paper_nothing_is_left_that_is_for_the_screen(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}{OURS}index.html")
    page.wait_for_selector("#report-part:not([hidden])")
    page.emulate_media(media="print")
    assert page.is_hidden("#report-part")
    assert page.is_hidden(".masthead")
    assert page.locator(".code svg").is_visible()
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    days = ["Monday 30 November", "Tuesday 1 December"]
    assert page.locator(".plan-day:visible h2").all_inner_texts() == days


@pytest.mark.parametrize("which", ["assignment", "week"])
def test_the_pages_read_without_scripts(open_page: OpenPage, deep: str, which: str) -> None:
    where = OURS if which == "assignment" else folder_of(SECRET, "week")
    page = open_page(f"{deep}{where}index.html", java_script_enabled=False)
    assert page.locator("li").count() >= 3
    assert page.locator("h1").count() == 1


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("path", [f"{OURS}index.html", f"{folder_of(SECRET, 'week')}index.html", "for/index.html"])
def test_axe_finds_nothing(open_page: OpenPage, deep: str, path: str, light: str) -> None:
    page = open_page(f"{deep}{path}", color_scheme=light)
    page.wait_for_load_state()
    for width in (320, 390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert axe(page) == [], f"at {width} px"
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"it scrolls sideways at {width} px"


def test_ticks_that_are_not_kept_are_told_of(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}about/index.html")
    page.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('', 'QuotaExceededError'); };")
    page.goto(f"{deep}{OURS}index.html")
    page.wait_for_selector("#report-part:not([hidden])")
    for task in (0, 1):
        page.check(f"input[data-task] >> nth={task}")
    assert page.inner_text("#set [data-keeps]").startswith("This device keeps nothing")
    # the report for the teacher has them all the same
    assert page.input_value("#report").splitlines()[4] == "Still to do: 1"


def test_ticks_of_two_tabs_stay_also_where_neither_hears_of_the_other(open_page: OpenPage, deep: str) -> None:
    one = open_page(f"{deep}about/index.html")
    one.context.add_init_script("addEventListener('storage', (event) => event.stopImmediatePropagation(), true)")
    one.goto(f"{deep}{OURS}index.html")
    other = one.context.new_page()
    other.goto(f"{deep}{OURS}index.html")
    for number, each in enumerate((one, other)):
        each.wait_for_selector("#report-part:not([hidden])")
        each.check(f"input[data-task] >> nth={number}")
    one.reload()
    one.wait_for_selector("#report-part:not([hidden])")
    assert [one.is_checked(f"input[data-task] >> nth={number}") for number in range(3)] == [True, True, False]
