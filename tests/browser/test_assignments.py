"""An assignment on a phone: today first, one tap to the music, ticks that stay, a text for the teacher; and a site that
lies in a folder of somebody else's host."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urljoin

import pytest
from playwright.sync_api import Browser, Page

from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.unlisted import folder_of
from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.browser.test_access import axe
from tests.browser.weighing import fetched_at, scripts_of
from tests.building.studio import write_content
from tests.building.test_assignments import MARCH, SECRET, WEEK, assign, studio
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
    _join(content)
    assign(content, "old", "begins: 2026-01-05", "ends: 2026-01-09", "set: [{piece: waltz, day: 1}]")
    build_site(content, root / "site", Store(root / "cache"), 0, lambda *_: None)
    (root / "host" / "a").mkdir(parents=True)
    shutil.move(root / "site", root / "host" / BELOW)
    return root / "host"


def _join(content: Path) -> None:
    """A library with another ladder of the march, a collection, and a plan: so that there is every kind of page."""
    other = write_content(content.parent / "other", march=MARCH)
    for folder in (content, other):
        text = (folder / "march" / "piece.md").read_text()
        fields = "composer: A. Example\nadded: 2026-11-01\nlevel: easy\nplan: {days: 3, begins: 2026-11-30}\n"
        fields += "stages: [outer voices, as written]\n" if folder == other else ""
        (folder / "march" / "piece.md").write_text(text.replace("licence:", f"{fields}licence:"))
    with (content / "studio.yaml").open("a") as file:
        file.write("libraries: [{name: other, place: ../other, credit: Other}]\n")
    (content / "collections").mkdir()
    (content / "collections" / "term.md").write_text("---\ntitle: Term\npieces: [waltz, march]\n---\n\nFirst.\n")


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


def test_whatever_a_page_asks_for_in_a_folder_of_a_host_is_there(open_page: OpenPage, deep_root: Path) -> None:
    """Every page is opened from the one that leads to it, in the browser; nothing is asked for that is not there."""
    asked: dict[str, int] = {}
    with serving(deep_root, asked.__setitem__) as address:
        site = address + BELOW
        page = open_page(site, service_workers="block")
        waiting = [f"{site}{path}" for path in ("index.html", OURS, folder_of(SECRET, "week"), "for/", "sitemap.xml")]
        seen: set[str] = set()
        while waiting:
            here = waiting.pop().partition("#")[0]
            if here in seen or not here.startswith(site):
                assert here.startswith((site, "https://")), here
                continue
            seen.add(here)
            if not here.endswith(("/", ".html")):
                assert page.request.get(here).ok, here
                continue
            page.goto(here, wait_until="load")
            links = "(all) => all.map((one) => one.href)"
            waiting += [
                link for link in page.eval_on_selector_all("a[href], link[href]", links) if "#svgView" not in link
            ]
    kinds = (
        "by/",
        "collections/",
        "works/",
        "pieces/other--march/",
        "pieces/march/plan",
        "pieces/march/print",
    )
    for kind in kinds:
        assert any(path.startswith(f"/{BELOW}{kind}") for path in asked), kind
    assert len(seen) > 40
    lost = sorted(path for path, size in asked.items() if not size and path != "/favicon.ico")
    assert lost == []
    assert all(path.startswith(f"/{BELOW}") for path in asked), "nothing is asked for outside its folder"


def test_what_is_written_for_programs_says_the_address_and_nothing_of_its_place(deep_root: Path) -> None:
    site = deep_root / BELOW
    for name in ("feed.xml", "sitemap.xml"):
        named = re.findall(r"https://studio\.example/a/([^\s<\"]*)", (site / name).read_text())
        assert named
        for path in named:
            assert (site / path).is_file() or (site / path / "index.html").is_file(), (name, path)
    for sheet in site.rglob("*.css"):
        for path in re.findall(r"url\([\"']?(?!data:)([^)\"']+)", sheet.read_text()):
            assert (sheet.parent / path).resolve().is_file(), (sheet, path)
    manifest = json.loads((site / "site.webmanifest").read_text())
    for path in (manifest["start_url"], *(icon["src"] for icon in manifest["icons"])):
        assert not path.startswith("/")
        assert (site / path).exists(), path


def test_a_piece_of_another_library_names_it_on_each_of_its_pages(deep_root: Path) -> None:
    pages = sorted((deep_root / BELOW / "pieces" / "other--march").rglob("*.html"))
    assert {"plan.html", "print.html"} < {page.name for page in pages}
    for page in pages:
        assert "From the library of Other" in page.read_text(), page


def test_what_is_set_is_in_no_feed_no_list_and_no_search(deep_root: Path) -> None:
    site = deep_root / BELOW
    lists = [
        site / name for name in ("feed.xml", "sitemap.xml", "site.json", "shelf.json", "offline.json", "index.html")
    ]
    secret = [place.name for place in (site / "for").iterdir() if place.is_dir()]
    assert len(secret) >= 3
    for file in [*lists, *(site / "search").iterdir(), *(site / "by").rglob("*.html")]:
        text = file.read_text()
        assert not [name for name in (*secret, "blue-3") if name in text], file


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
    _is_for_everybody(page)
    if (more := page.locator("#show-all:visible")).count():
        more.click()
        _is_for_everybody(page)
    if page.locator("input[data-task]").count():
        page.check("input[data-task] >> nth=0")
        page.fill("#own-word", "Bar 4 is hard.")
        page.click("#copy")
        page.wait_for_selector("#copy-said:not(:empty)")
        _is_for_everybody(page)


def _is_for_everybody(page: Page) -> None:
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


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(
    "path", ["works/a-example-march/", "collections/term/", "by/library/", "pieces/march/plan.html"]
)
def test_axe_finds_nothing_on_what_is_listed(open_page: OpenPage, deep: str, path: str, light: str) -> None:
    page = open_page(f"{deep}{path}", color_scheme=light, reduced_motion="reduce")
    page.wait_for_load_state("networkidle")
    _is_for_everybody(page)


def test_two_ladders_are_read_beside_each_other_on_a_phone(open_page: OpenPage, deep: str) -> None:
    page = open_page(f"{deep}works/a-example-march/")
    page.wait_for_load_state("networkidle")
    for row in page.locator(".beside tbody tr").all():
        left, right = (cell.bounding_box() for cell in row.locator("td").all())
        assert left is not None
        assert right is not None
        assert left["y"] == right["y"], "they stand side by side"
        assert right["x"] >= left["x"] + left["width"] - 1
    for picture in page.locator(".beside .cut img").all():
        picture.scroll_into_view_if_needed()
        assert picture.evaluate("(one) => one.decode().then(() => one.naturalWidth > 0)")
    page.click("button[data-opens='settings']")
    page.wait_for_selector("#settings[open]")
    _is_for_everybody(page)
