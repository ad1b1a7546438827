"""Whoever reads with letters of twice the size, or a page at twice the size, scrolls down and never sideways."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.unlisted import folder_of
from tests.browser.conftest import launch
from tests.browser.serving import serving
from tests.building.studio import musicxml, write_content
from tests.building.test_assignments import MARCH, SECRET, WEEK, assign, studio

PIECE = "pieces/waltz/index.html"
KINDS = {
    "gallery": "index.html",
    "by composer": "by/composer/index.html",
    "by level": "by/level/index.html",
    "by key": "by/key/index.html",
    "by texture": "by/texture/index.html",
    "collection": "collections/term/index.html",
    "assignment": f"{folder_of(SECRET, 'assignment', 'blue-3')}index.html",
    "week": f"{folder_of(SECRET, 'week')}index.html",
    "piece": PIECE,
    "plan": "pieces/waltz/plan.html",
    "print": "pieces/waltz/print.html",
    "works": "works/a-example-waltz/index.html",
    "teachers": "teachers/index.html",
    "about": "about/index.html",
    "own page": "pages/practising/index.html",
    "not kept": "not-kept.html",
}
SHEETS = ("help", "settings", "practice", "stages", "rhythm")
MATTER = """composer: A. Example
tags: [broken chord, unaccompanied]
level: early intermediate
practise:
  - {day: 1, stage: as written, bars: 1-2}
licence:"""
WORDS = """| bars | what happens | key |
| --- | --- | --- |
| [1-2](bars:1-2) | the accompaniment's harmonies | B flat minor |
"""
#: What reaches beyond the screen and no box that scrolls by itself holds.
BEYOND = """() => {
  const wide = document.documentElement.clientWidth;
  const held = (one) => {
    for (let box = one.parentElement; box && box !== document.body; box = box.parentElement) {
      if (getComputedStyle(box).overflowX !== "visible" && box.getBoundingClientRect().right < wide + 1) return true;
    }
    return false;
  };
  const found = [...document.querySelectorAll("body *")].filter((one) => {
    const box = one.getBoundingClientRect();
    return one.checkVisibility({ visibilityProperty: true }) && !one.closest("svg, .unseen, .skip") && box.width > 1
      && (box.right > wide + 1 || box.left < -1) && !held(one);
  });
  const sheet = document.querySelector("dialog[open]");
  if (sheet && sheet.scrollWidth > sheet.clientWidth) found.push(sheet);
  const beside = document.documentElement.scrollWidth - wide;
  return [...(beside > 0 ? [`the page, by ${beside} px`] : []), ...found.map((one) => one.outerHTML.slice(0, 80))];
}"""


@pytest.fixture(scope="module")
def every_kind(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A site with a page of every kind, and with words that are long."""
    root = tmp_path_factory.mktemp("kinds")
    content = studio(root)
    theirs = write_content(root / "anna", waltz=MARCH)
    for waltz in (content / "waltz", theirs / "waltz"):
        text = (waltz / "piece.md").read_text(encoding="utf-8").replace("licence:", MATTER)
        (waltz / "piece.md").write_text(f"{text}\n{WORDS}", encoding="utf-8")
    march = content / "march" / "piece.md"
    march.write_text(march.read_text(encoding="utf-8").replace("licence:", "level: beginner\nlicence:"))
    (content / "waltz" / "score.musicxml").write_text(musicxml("E5h. | D5h.", "C3q E3 G3 | D3 F3 A3", "3/4"))
    with (content / "studio.yaml").open("a", encoding="utf-8") as file:
        file.write("reference: true\nlibraries:\n  - {name: anna, place: ../anna, credit: Anna}\n")
    (content / "collections").mkdir()
    text = "---\ntitle: Accompaniments of the second term\npieces: [waltz, march]\n---\n\nIn this order.\n"
    (content / "collections" / "term.md").write_text(text, encoding="utf-8")
    (content / "pages").mkdir()
    text = "---\ntitle: How accompaniments are practised\n---\n\n```console\n$ sitegen check accompaniments\n```\n"
    (content / "pages" / "practising.md").write_text(text, encoding="utf-8")
    assign(content, "blue-3", *WEEK, "set: [{piece: waltz, stage: as written, bars: 1-2, day: 1, note: softly}]")
    outcome = build_site(content, root / "site", Store(root / "cache"), 0, lambda *_: None)
    assert len(outcome.built) == 3, outcome.findings
    with serving(root / "site") as address:
        yield address


@pytest.mark.parametrize("way", ["letters of the browser", "letters of the page", "zoom"])
def test_no_page_scrolls_sideways_at_twice_the_size(browser: Browser, every_kind: str, way: str) -> None:
    """Letters are set twice as large in the settings of a browser, which media queries count with, or upon the page.
    A page at 200 % is one of half the width in CSS pixels: so a screen of 640 is one of 320."""
    large = ["--blink-settings=defaultFontSize=32"] if way == "letters of the browser" else []
    own = launch(browser.browser_type, *large)
    page = own.new_page()
    found = []
    for kind, path in KINDS.items():
        page.goto(every_kind + path)
        if way != "zoom":
            letters = page.evaluate("getComputedStyle(document.documentElement).fontSize")
            assert letters == ("32px" if large else "16px")
        if way == "letters of the page":
            page.evaluate("document.documentElement.style.fontSize = '200%'")
        unfold(page, kind)
        for width in (320, 390):
            page.set_viewport_size({"width": width, "height": 700})
            found += [f"{kind} at {width}: {beyond}" for beyond in page.evaluate(BEYOND)]
            for sheet in SHEETS if kind == "piece" else ():
                page.evaluate("(name) => document.getElementById(name).showModal()", sheet)
                found += [f"{sheet} at {width}: {beyond}" for beyond in page.evaluate(BEYOND)]
                page.evaluate("(name) => document.getElementById(name).close()", sheet)
    own.close()
    assert found == []


def unfold(page: Page, kind: str) -> None:
    """Waits for what scripts bring to a page, and shows what it has folded."""
    if kind == "gallery":
        page.wait_for_selector("#finder:not([data-waits])")
        page.click("#open-filters")
    if kind == "piece":
        page.wait_for_selector("#player:not([hidden])")
        page.click("#open-view")
    if kind == "assignment":
        page.wait_for_selector("#report-part:not([hidden])")
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")


def test_the_comparison_has_room_for_letters_of_twice_the_size(browser: Browser, every_kind: str) -> None:
    page = browser.new_page(viewport={"width": 820, "height": 900})
    page.goto(every_kind + PIECE)
    page.wait_for_selector("#player:not([hidden])")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.click("[data-view='both']")
    page.wait_for_selector(".pairs svg.engraving")
    assert page.evaluate(BEYOND) == []
    page.close()
