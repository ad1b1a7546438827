"""Everybody can use every page: axe finds nothing, nothing scrolls sideways, and a finger hits what it aims at."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import OpenPage
from tests.browser.listening import until_hands
from tests.browser.serving import SOURCES, serving
from tests.browser.trial_site import write_site

_AXE = SOURCES.parent / "node_modules" / "axe-core" / "axe.min.js"
_PAGES = {
    "gallery": "index.html",
    "about": "about/index.html",
    "own page": "pages/practising/index.html",
    "own page in another language": "pages/hands/index.html",
    "piece": "pieces/eight-bars/index.html",
    "stage": "pieces/eight-bars/stages/as-written/index.html",
    "print": "pieces/eight-bars/print.html",
    "reading": "pieces/eight-bars/reading.html",
}


def axe(page: Page) -> list[str]:
    if not _AXE.is_file():
        pytest.skip("axe-core is not installed: run 'npm ci' in themes/base")
    page.evaluate(_AXE.read_text(encoding="utf-8") + "; undefined")
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    return [f"{each['id']}: {[node['html'][:120] for node in each['nodes']]}" for each in found["violations"]]


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("kind", _PAGES)
def test_axe_finds_nothing(open_page: OpenPage, trial: str, kind: str, light: str) -> None:
    page = open_page(trial + _PAGES[kind], color_scheme=light, reduced_motion="reduce")
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        if kind in {"piece", "stage"}:
            page.wait_for_selector("#player:not([hidden])")
        assert axe(page) == [], f"at {width} px"
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("sheet", ["help", "settings", "practice", "stages"])
def test_axe_finds_nothing_on_the_sheets(open_page: OpenPage, trial: str, sheet: str, light: str) -> None:
    page = open_page(
        trial + _PAGES["piece"],
        viewport={"width": 320, "height": 700},
        reduced_motion="reduce",
        color_scheme=light,
    )
    page.wait_for_selector("#player:not([hidden])")
    page.click(f"button[data-opens='{sheet}']")
    page.wait_for_selector(f"#{sheet}[open]")
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 700})
        assert axe(page) == [], f"at {width} px"
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_axe_finds_nothing_with_everything_shown(open_page: OpenPage, trial: str, light: str, width: int) -> None:
    page = open_page(
        trial + _PAGES["piece"],
        viewport={"width": width, "height": 844},
        color_scheme=light,
        reduced_motion="reduce",
    )
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    for key in "thn.":
        page.keyboard.press(key)
    page.wait_for_selector("#card:not([hidden])")
    page.wait_for_selector(".strip text")
    page.keyboard.press("a")
    until_hands(page, "right")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    if width >= 768:
        page.keyboard.press("b")
        page.wait_for_selector(".pairs")
        assert axe(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("light", ["light", "dark"])
def test_axe_finds_nothing_in_what_is_unfolded(open_page: OpenPage, trial: str, light: str) -> None:
    page = open_page(trial + _PAGES["piece"], color_scheme=light, reduced_motion="reduce")
    page.wait_for_selector("#player:not([hidden])")
    for size in ((320, 568), (390, 844), (844, 390), (1280, 800)):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        for opener in (".about summary", "#today summary", "#open-view"):
            if page.is_hidden(opener):
                continue
            page.click(opener)
            assert axe(page) == [], f"{opener} at {size}"
            assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
            page.click(opener)


_SMALL = """
[...document.querySelectorAll("button, select, input, textarea, summary, a, label.switch, .choices label, label.file")]
.filter((each) => each.checkVisibility() && !each.closest(".unseen, .skip"))
// a box is hit through its label, and a link within a sentence is exempt (WCAG 2.2, 2.5.8)
.filter((each) => !each.closest("label") || each.matches("label"))
.filter((each) => !each.matches(".prose a, .excerpt a"))
.map((each) => [each.outerHTML.slice(0, 90), each.matches(".plan input") ? each.closest("li") : each])
.map(([text, each]) => [text, each.getBoundingClientRect()])
.filter(([, place]) => place.width < 43.9 || place.height < 43.9)
.map(([text, place]) => `${text} ${place.width} x ${place.height}`)
"""


@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("kind", _PAGES)
def test_controls_are_as_large_as_a_finger(open_page: OpenPage, trial: str, kind: str, width: int) -> None:
    page = open_page(trial + _PAGES[kind], viewport={"width": width, "height": 700}, reduced_motion="reduce")
    if kind in {"piece", "stage"}:
        page.wait_for_selector("#player:not([hidden])")
        if width < 768:
            page.click("#open-view")
    assert page.evaluate(_SMALL) == []
    for fold in page.locator(".front summary").all():
        fold.click()
        assert page.evaluate(_SMALL) == []
    page.keyboard.press("Escape")
    for sheet in page.locator("button[data-opens]").evaluate_all("(all) => all.map((each) => each.dataset.opens)"):
        page.click(f"button[data-opens='{sheet}']")
        assert page.evaluate(_SMALL) == [], sheet
        page.keyboard.press("Escape")


def test_motion_is_spared_who_asks_for_it(open_page: OpenPage, trial: str) -> None:
    moving = "document.getAnimations().length"
    for wish, moves in (("no-preference", True), ("reduce", False)):
        page = open_page(trial + _PAGES["piece"], reduced_motion=wish)
        page.wait_for_selector("#player:not([hidden])")
        # read in the same breath as the sheet is opened
        counted = page.evaluate(f"(document.querySelector('[data-opens=help]').click(), {moving})")
        assert (counted > 0) is moves


def test_right_to_left_is_laid_out_from_the_right(open_page: OpenPage, tmp_path: Path) -> None:
    write_site(tmp_path, "he")
    with serving(tmp_path) as address:
        page = open_page(f"{address}pieces/eight-bars/index.html", viewport={"width": 390, "height": 844})
        page.wait_for_selector("#player:not([hidden])")
        assert page.evaluate("document.documentElement.dir") == "rtl"
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        play = page.locator("#play").bounding_box()
        assert play is not None
        assert play["x"] > 300
        # Music reads from left to right everywhere.
        clefs = page.evaluate(
            "[...document.querySelectorAll('svg.engraving use[data-glyph=E050], svg.engraving .barLine')]"
            ".slice(0, 3).map((each) => each.getBoundingClientRect().left)"
        )
        assert clefs == sorted(clefs)


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en-GB", ["8 bars", "Play"]),
        ("en-US", ["8 measures", "Play"]),
        ("de", ["8 Takte", "Abspielen"]),
        ("pl", ["8 taktów", "Graj"]),
    ],
)
def test_pages_speak_the_language_of_the_library(
    open_page: OpenPage, tmp_path: Path, language: str, words: list[str]
) -> None:
    write_site(tmp_path, language)
    with serving(tmp_path) as address:
        page = open_page(f"{address}pieces/eight-bars/index.html")
        page.wait_for_selector("#player:not([hidden])")
        assert page.evaluate("document.documentElement.lang") == language
        assert words[0] in (page.text_content(".facts") or "")
        assert page.get_attribute("#play", "aria-label") == words[1]


def test_pages_are_served_with_a_strict_policy_in_these_tests(open_page: OpenPage, trial: str) -> None:
    page = open_page(trial + _PAGES["piece"])
    sent = page.request.get(page.url).headers["content-security-policy"]
    assert sent.startswith("default-src 'self';")
    assert "unsafe" not in sent


def test_site_can_be_put_on_the_home_screen(open_page: OpenPage, trial: str) -> None:
    page = open_page(trial + "index.html")
    address = page.locator("link[rel=manifest]").get_attribute("href") or ""
    manifest = page.request.get(trial + address).json()
    assert manifest["name"] == "A Try-out Studio"
    assert manifest["display"] == "standalone"
    assert {icon["sizes"] for icon in manifest["icons"]} >= {"192x192", "512x512"}
    for icon in manifest["icons"]:
        assert page.request.get(trial + icon["src"]).ok
    assert page.request.get(trial + manifest["start_url"]).ok


def test_strokes_and_pressed_keys_are_seen_in_forced_colours(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", forced_colors="active", viewport={"width": 1280, "height": 900})
    assert page.evaluate("matchMedia('(forced-colors: active)').matches")
    page.keyboard.press("0")
    stroke = "(link) => ['Color', 'Width'].map((each) => getComputedStyle(link, '::after')[`borderBlockEnd${each}`])"
    ground = page.evaluate("getComputedStyle(document.querySelector('dialog[open]')).backgroundColor")
    strokes = page.eval_on_selector_all(".ladder a", f"(links) => links.map({stroke})")
    assert strokes
    assert all(colour != ground and width != "0px" for colour, width in strokes)
    here = page.eval_on_selector(".ladder a[aria-current]", stroke)
    assert float(here[1].removesuffix("px")) > max(float(w.removesuffix("px")) for _, w in strokes if w != here[1])
    page.keyboard.press("Escape")
    page.wait_for_selector("#stages", state="hidden")
    page.click("[data-view='tension']")
    page.wait_for_selector("[data-view='tension'][aria-pressed='true']", state="attached")
    pressed = "getComputedStyle(document.querySelector(\"[data-view='tension']\"))"
    assert page.evaluate(f"[{pressed}.outlineStyle, {pressed}.outlineWidth]") == ["solid", "3px"]
    page.click("[data-view='tension']")
    assert page.evaluate(f"{pressed}.outlineStyle") == "none"


@pytest.mark.parametrize("size", [(195, 422), (160, 284), (640, 450)], ids=["390", "320", "1280"])
def test_at_twice_the_size_nothing_is_cut_or_out_of_reach(open_piece: OpenPage, size: tuple[int, int]) -> None:
    """A page at 200 % is one of half the width and height in CSS pixels."""
    page = open_piece("bass-line", viewport={"width": size[0], "height": size[1]})
    assert page.evaluate("document.documentElement.scrollWidth") <= max(size[0], 320)
    for key in ("#play", "#slower", "#faster", "#step-up", "#stage-name"):
        box = page.locator(key).bounding_box()
        assert box is not None
        assert 0 <= box["x"] <= box["x"] + box["width"] <= max(size[0], 320)
