"""A library of three hundred pieces is browsed: filters, search, collections, without a connection, without scripts."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from sitegen.publishing.browsing.words import words_in
from tests import many_pieces
from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.browser.shelf_site import write_shelf
from tests.browser.test_access import axe
from tests.browser.weighing import fetched_at, scripts_of

COUNT = 300
PIECES = [many_pieces.piece(number) for number in range(COUNT)]
CARDS = [many_pieces.card(number, 1) for number in range(COUNT)]
LIMIT = 100_000
"""Bytes of a page that lists pieces, compressed."""
SCRIPT_LIMIT = 14_000
FIRST_LIMIT = 45_000
"""Bytes of the gallery's scripts, and of all that it fetches before anybody taps."""


@pytest.fixture(scope="module")
def shelf_root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("shelf")
    write_shelf(root, COUNT)
    return root


@pytest.fixture(scope="module")
def shelf(shelf_root: Path) -> Iterator[str]:
    with serving(shelf_root) as address:
        yield address


def _opened(open_page: OpenPage, address: str, **options: object) -> Page:
    page = open_page(address, **{"viewport": {"width": 1280, "height": 800}, **options})
    page.wait_for_selector("#finder:not([data-waits])")
    return page


def _titles(page: Page) -> list[str]:
    return page.locator("#shelf h3").all_inner_texts()


def _of(page: Page, count: int) -> None:
    said = f"{count} of {COUNT} pieces" if count < COUNT else f"{COUNT} pieces"
    expect(page.locator("#found")).to_have_text(said)


def test_pages_that_list_pieces_are_light(shelf_root: Path) -> None:
    pages = [*shelf_root.glob("*.html"), *shelf_root.glob("by/*/*.html"), *shelf_root.glob("collections/*/*.html")]
    assert len(pages) >= 10
    for page in [*pages, shelf_root / "shelf.json"]:
        assert len(gzip.compress(page.read_bytes(), mtime=0)) < LIMIT, page


def test_the_gallery_fetches_little_before_the_first_tap(browser: Browser, shelf: str) -> None:
    fetched = fetched_at(browser, f"{shelf}index.html", "#finder:not([data-waits])")
    assert 0 < scripts_of(fetched) <= SCRIPT_LIMIT
    assert sum(fetched.values()) <= FIRST_LIMIT
    # words are looked for when somebody looks for them
    assert not [address for address in fetched if "/search/" in address]


def test_filters_choose_count_and_stand_in_the_address(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    _of(page, COUNT)
    assert len(_titles(page)) == 48
    in_d = [card for card in CARDS if card.key == "D major"]
    page.select_option("#by-key", "d-major")
    _of(page, len(in_d))
    assert _titles(page) == sorted((card.title for card in in_d), key=str.lower)[:48]
    # each choice says how many it would show beside what is chosen
    easy = [card for card in in_d if card.level == "beginner"]
    assert page.locator("#by-level option[value=beginner]").inner_text() == f"beginner ({len(easy)})"
    other = sum(card.key == "C major" for card in CARDS)
    assert page.locator("#by-key option[value=c-major]").inner_text() == f"C major ({other})"
    page.select_option("#by-level", "beginner")
    _of(page, len(easy))
    assert page.url.partition("?")[2] == "key=d-major&level=beginner"
    page.select_option("#order", "newest")
    newest = sorted(sorted(easy, key=lambda card: card.title.lower()), key=lambda card: card.added, reverse=True)
    expect(page.locator("#shelf h3").first).to_have_text(newest[0].title)
    assert _titles(page) == [card.title for card in newest]


def test_a_link_shows_the_same_and_back_leads_to_what_was_there(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, f"{shelf}index.html?texture=alberti-bass&span=small&key=nonsense")
    small = [card for card in CARDS if card.textures == ("Alberti bass",) and card.span <= 10]
    _of(page, len(small))
    page.select_option("#by-level", "beginner")
    _of(page, sum(card.level == "beginner" for card in small))
    page.go_back()
    _of(page, len(small))
    assert page.input_value("#by-level") == ""
    assert page.input_value("#by-texture") == "alberti-bass"
    page.go_forward()
    assert page.input_value("#by-level") == "beginner"
    page.click("#all-again")
    _of(page, COUNT)
    assert "?" not in page.url
    assert page.evaluate("document.activeElement.id") == "search"


def test_whose_library_a_piece_is_of_can_be_chosen_and_stands_beside_it(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    theirs = [one for one in PIECES if one.library == "Studio Ostwind"]
    page.select_option("#by-library", label=f"Studio Ostwind ({len(theirs)})")
    _of(page, len(theirs))
    assert page.url.endswith("?library=studio-ostwind")
    said = page.locator("#shelf .by").all_inner_texts()
    assert said
    assert all(one.endswith("From the library of Studio Ostwind") for one in said)
    page.select_option("#by-library", "_own")
    _of(page, sum(not one.library for one in PIECES))
    assert not page.locator("#shelf .by:has-text('From the library of')").count()


def _search(page: Page, text: str) -> None:
    page.fill("#search", text)


def test_words_find_pieces_however_they_are_typed(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    by_elvare = [one for one in PIECES if one.composer == "Jorun Élvaré"]
    for typed in ("Élvaré", "elvare", "ELVAR", "jorun elvare"):
        _search(page, typed)
        _of(page, len(by_elvare))
    # what is told in the commentary, in one form or another, and with a name beside it
    hemiola = [one for one in PIECES if one.number % 7 == 5]
    for typed in ("hemiola", "hemiolas", "hemiolae"):
        _search(page, typed)
        _of(page, len(hemiola))
    _search(page, "hemiola torvik")
    _of(page, sum(one.composer == "Anselm Torvik" for one in hemiola))
    # a key is one thing, though its words are in many pieces
    for typed, key in (
        ("a flat major", "Ab major"),
        ("A♭ major", "Ab major"),
        ("Ab major", "Ab major"),
        ("f minor", "F minor"),
    ):
        _search(page, typed)
        _of(page, sum(one.key == key for one in PIECES))
    _search(page, "nocturne f minor")
    _of(page, sum(one.key == "F minor" and "Nocturne" in one.title for one in PIECES))
    _search(page, "xylophone")
    expect(page.locator("#found")).to_contain_text("No piece matches")
    assert _titles(page) == []
    # what is called so stands before what is only told of it
    _search(page, "waltz")
    expect(page.locator("#shelf h3").first).to_contain_text("Waltz")
    _search(page, "17")
    expect(page.locator("#shelf h3").first).to_contain_text("No. 17")


def test_a_page_folds_words_as_the_index_does(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    texts = [
        "Étude in A♭, für Große Hände: 2nd_part", "E\u0301tude", "Færgemand, Żółw, Ночь, 月光", "don't stop—now",
        "İstanbul", "ﬁnger Ⅳ ½ m²", "naïve ÇA çà", "हिन्दी", "a" * 60, "",
    ]  # fmt: skip
    folded = page.evaluate(
        "async (texts) => { const { wordsIn } = await import('/_sources/shelf/words.js'); return texts.map(wordsIn); }",
        texts,
    )
    assert folded == [words_in(text) for text in texts]


def test_a_search_stands_in_the_address_and_goes_with_filters(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    page.focus("#search")
    page.keyboard.type("canon")
    page.keyboard.press("Enter")
    canons = [one for one in PIECES if one.number % 7 == 4]
    _of(page, len(canons))
    assert page.url.endswith("?q=canon")
    modern = sum(one.period == "Modern" for one in canons)
    assert page.locator("#by-period option[value=modern]").inner_text() == f"Modern ({modern})"
    page.select_option("#by-period", "modern")
    _of(page, modern)
    again = _opened(open_page, page.url)
    assert again.input_value("#search") == "canon"
    _of(again, modern)
    page.go_back()
    _of(page, len(canons))
    page.go_back()
    _of(page, COUNT)
    page.keyboard.type("pedal")
    page.wait_for_url("**?q=pedal")
    page.keyboard.type(" point")
    page.wait_for_url("**?q=pedal+point")
    page.go_back()
    page.wait_for_url(lambda url: "?" not in url)


def test_back_leads_past_a_word_that_was_typed_slowly(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    page.focus("#search")
    page.keyboard.type("c")
    page.wait_for_url("**?q=c")
    page.keyboard.type("anon")
    page.keyboard.press("Enter")
    page.wait_for_url("**?q=canon")
    page.go_back()
    page.wait_for_url(lambda url: "?" not in url)


def test_more_pieces_come_when_they_are_asked_for_and_are_like_the_others(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    page.click("#more")
    titles = _titles(page)
    assert titles == sorted((card.title for card in CARDS), key=str.lower)[:96]
    assert page.evaluate("document.activeElement.querySelector('h3').innerText") == titles[48]
    first, made = (
        re.sub(r"(piece-\d+|\d+\.svg|No\. \d+)", "", page.locator("#shelf .leaf").nth(place).evaluate(
            "(leaf) => [...leaf.querySelectorAll('*')].map((each) => `${each.tagName} ${each.className}`).join()"
        )) for place in (47, 48)
    )  # fmt: skip
    assert first == made


def _wait_until_kept(page: Page) -> None:
    """Until the pages that belong to no piece are on the device."""
    for _ in range(1200):
        if page.evaluate("(async () => (await (await caches.open('lists')).keys()).length)()"):
            return
        page.wait_for_timeout(50)
    raise AssertionError("never kept")


def test_the_search_works_without_a_connection(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    _wait_until_kept(page)
    page.context.set_offline(True)
    page.reload()
    page.wait_for_selector("#finder:not([data-waits])")
    _search(page, "pedal point")
    _of(page, sum(one.number % 7 == 3 for one in PIECES))
    page.goto(f"{shelf}by/composer/index.html")
    expect(page.locator("h1")).to_have_text("Pieces by composer")


def test_filters_open_on_a_small_screen_and_the_keyboard_reaches_them(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf, viewport={"width": 390, "height": 844})
    assert not page.is_visible("#filters")
    page.focus("#search")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.get_attribute("#open-filters", "aria-expanded") == "true"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "by-composer"
    page.keyboard.press("ArrowDown")
    expect(page.locator("#open-filters")).to_have_text("Filters (1)")
    assert "?composer=" in page.url


def test_without_scripts_the_index_pages_lead_to_every_piece(open_page: OpenPage, shelf: str) -> None:
    page = open_page(shelf, java_script_enabled=False)
    assert not page.is_visible("#finder")
    assert page.locator("#shelf .leaf").count() == 48
    for facet in ("Composer", "Key", "Level", "Texture", "Library"):
        page.goto(shelf)
        page.click(f".indexes a:text-is('{facet}')")
        page.wait_for_load_state()  # of the whole page: it is long
        found = page.locator(".lot li a").evaluate_all("(all) => all.map((each) => each.getAttribute('href'))")
        assert sorted(found) == [f"../../pieces/{one.slug}/index.html" for one in PIECES], facet
    assert page.locator(".lot h2").all_inner_texts() == ["This studio's own", "Studio Ostwind", "The house by the weir"]
    listed = page.locator("section[aria-labelledby=by-studio-ostwind] li").count()
    assert listed == sum(one.library == "Studio Ostwind" for one in PIECES)
    page.goto(f"{shelf}by/key/index.html")
    page.click(".jumps a:text-is('D major')")
    assert page.url.endswith("#by-d-major")
    listed = page.locator("section[aria-labelledby=by-d-major] li").count()
    assert listed == sum(card.key == "D major" for card in CARDS)


def test_a_collection_is_opened_from_the_gallery_and_keeps_its_order(open_page: OpenPage, shelf: str) -> None:
    page = _opened(open_page, shelf)
    page.click(".indexes a:text-is('Term 2')")
    expect(page.locator("h1")).to_have_text("Term 2")
    (term,) = [one for one in many_pieces.collections(COUNT) if one.slug == "term-2"]
    by_slug = {one.slug: one.title for one in PIECES}
    assert _titles(page) == [by_slug[slug] for slug in term.pieces]


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(
    "path", ["index.html?q=waltz&order=newest", "by/key/index.html", "collections/term-1/index.html"]
)
def test_axe_finds_nothing(open_page: OpenPage, shelf: str, path: str, light: str) -> None:
    page = open_page(shelf + path, color_scheme=light, reduced_motion="reduce")
    page.wait_for_load_state("networkidle")
    if page.query_selector("#open-filters"):
        page.click("#open-filters")
    for width, height in ((320, 700), (390, 844), (844, 390), (1280, 800)):
        page.set_viewport_size({"width": width, "height": height})
        assert axe(page) == [], f"at {width} px"
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_nothing_jumps_while_the_gallery_arrives(open_page: OpenPage, shelf: str) -> None:
    for viewport in ({"width": 390, "height": 844}, {"width": 1280, "height": 800}):
        page = _opened(open_page, shelf, viewport=viewport)
        page.wait_for_load_state("networkidle")
        shift = page.evaluate(
            """new Promise((resolve) => {
              let sum = 0;
              new PerformanceObserver((list) => { for (const each of list.getEntries()) sum += each.value; })
                .observe({ type: "layout-shift", buffered: true });
              setTimeout(() => resolve(sum), 300);
            })"""
        )
        assert shift == 0
