"""The place while the music plays, in the comparison, on the next visit, and in a link that is sent."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route

from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import open_stage, swipe, until, until_bar, until_stage
from tests.browser.serving import serving
from tests.browser.test_place import ON_ITS_SIDE, TOP, opened, scrolled
from tests.building.studio import musicxml, write_content

LONG = musicxml(" | ".join(["C5q D5 E5 F5", "G5h E5", "F5q E5 D5 C5", "D5w"] * 16), " | ".join(["C3w"] * 64))
TOUCH = {"has_touch": True, "is_mobile": True}
#: The bar of the comparison's first line that is at least half in view.
TOP_PAIR = """() => Number([...document.querySelectorAll(".pair")].find((each) => {
  const { top, height } = each.getBoundingClientRect();
  return top + height / 2 > 0;
}).dataset.bar)"""
LOOPS = "document.getElementById('loop').getAttribute('aria-pressed') === 'true'"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    root: Path = tmp_path_factory.mktemp("sixty")
    outcome = build_site(
        write_content(root / "content", march=LONG), root / "site", Store(root / "store"), 0, lambda *_: None
    )
    assert outcome.errors == ()
    with serving(root / "site") as address:
        yield f"{address}pieces/march/"


def again(page: Page, address: str) -> Page:
    """The same device, another visit: nothing of the page before is there but what the device has kept."""
    other = page.context.new_page()
    page.close()
    other.goto(address)
    other.wait_for_selector("#player:not([hidden])")
    other.wait_for_timeout(600)
    return other


@pytest.mark.parametrize(
    "screen", [{"viewport": PHONE, **TOUCH}, {"viewport": ON_ITS_SIDE, **TOUCH}, {"viewport": WIDE}]
)
def test_the_next_visit_begins_where_the_last_one_ended(
    open_page: OpenPage, site: str, screen: dict[str, object]
) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html", **screen)
    touched = "has_touch" in screen
    first = scrolled(page, 4)
    # the address goes along while it plays, whoever closes the page in the middle of it
    if touched:
        page.tap("#play")
    else:
        page.keyboard.press(" ")
    until_bar(page, str(first + 2))
    until(page, f"['#bar-{first + 2}', '#bar-{first + 3}'].includes(location.hash)")
    until_bar(page, str(first + 3))
    page = again(page, f"{site}index.html")
    assert page.get_attribute("#piece", "data-stage") == "as-written"
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= first + 3
    assert ends >= first + 1
    # a loop, and the stage in which it was made
    page.keyboard.press("1")
    until_stage(page, "bass-line")
    page.evaluate("location.hash = '#bars-41-44'")
    until(page, LOOPS)
    page.wait_for_timeout(600)
    page = again(page, f"{site}index.html")
    assert page.url.endswith("#bars-41-44")
    assert page.get_attribute("#piece", "data-stage") == "bass-line"
    assert page.evaluate(LOOPS)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= 40 <= ends
    # what the address says is not overruled: a stage, and bars without a loop
    page = again(page, f"{site}stages/as-written/index.html#bar-9")
    assert page.get_attribute("#piece", "data-stage") == "as-written"
    assert not page.evaluate(LOOPS)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= 8 <= ends


def test_the_comparison_is_at_the_place_both_ways(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/bass-line/index.html", viewport=WIDE)
    first = scrolled(page, 3)
    page.keyboard.press("b")
    page.wait_for_selector(".pairs")
    page.wait_for_timeout(300)
    row = page.evaluate(TOP_PAIR)
    place = page.locator(f".pair[data-bar='{first}']").bounding_box()
    at_top = page.locator(f".pair[data-bar='{row}']").bounding_box()
    assert place is not None
    assert at_top is not None
    assert abs(place["y"] - at_top["y"]) < 2
    # on in the comparison, and back to the stage
    page.locator(".pair[data-bar='40']").evaluate(
        "pair => pair.scrollIntoView({ block: 'start', behavior: 'instant' })"
    )
    row = page.evaluate(TOP_PAIR)
    assert row > first
    until(page, f"location.hash === '#bar-{row + 1}'")
    assert page.inner_text("#place") == f"Bar {row + 1}"
    page.keyboard.press("b")
    page.wait_for_selector(".pairs", state="detached")
    page.wait_for_timeout(300)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= row <= ends
    # another stage from within the comparison
    page.keyboard.press("b")
    page.wait_for_selector(".pairs")
    page.wait_for_timeout(300)
    page.locator(".pair[data-bar='20']").evaluate(
        "pair => pair.scrollIntoView({ block: 'start', behavior: 'instant' })"
    )
    page.wait_for_timeout(200)
    row = page.evaluate(TOP_PAIR)
    page.keyboard.press("w")
    until_stage(page, "as-written")
    page.wait_for_timeout(300)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= row <= ends


def test_the_place_is_kept_by_a_swipe_and_by_leaving_the_page_and_follows_its_address(
    open_page: OpenPage, site: str
) -> None:
    page = opened(open_page, f"{site}stages/bass-line/index.html", viewport=PHONE, **TOUCH)
    first = scrolled(page, 4)
    swipe(page, 300, 120)
    until(page, "document.getElementById('piece').dataset.stage !== 'bass-line'")
    page.wait_for_timeout(500)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= first <= ends
    # to the sheets that are printed, back, on, and back again
    there = page.evaluate("document.getElementById('print-stage').href")
    for _ in range(2):
        page.evaluate("document.getElementById('print-stage').click()")
        page.wait_for_url(there)
        page.go_back()
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_timeout(600)
        begins, ends, _ = page.evaluate(TOP)
        assert begins <= first <= ends
    # another address, and one of a bar that the piece does not have
    for asked, bar in (("#bar-41", 40), ("#bar-900", 63), ("#bars-9-12", 8)):
        page.evaluate("(asked) => { location.hash = asked; }", asked)
        until(
            page,
            f"Array.from(document.querySelectorAll('.system[data-first]')).some((system) => {{"
            f" const {{ top, bottom, height }} = system.getBoundingClientRect();"
            f" return height && top >= 0 && bottom <= innerHeight && system.querySelector('[data-bar=\"{bar}\"]'); }})",
        )


def test_of_the_comparison_only_what_is_near_the_screen_is_drawn(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/bass-line/index.html", viewport={"width": 1024, "height": 400})
    page.keyboard.press("b")
    page.wait_for_selector(".pair[data-bar='0'] svg g.measure")
    page.wait_for_timeout(300)
    rooms = "Array.from(document.querySelectorAll('.pair'), (pair) => pair.getBoundingClientRect().height)"
    heights = page.evaluate(rooms)
    drawn = "document.querySelectorAll('.pair svg g.measure').length"
    most = page.evaluate(drawn)
    for bar in range(0, 64, 4):
        page.evaluate(f"document.querySelector('.pair[data-bar=\"{bar}\"]').scrollIntoView({{ behavior: 'instant' }})")
        # both rows of what is seen are there
        until(page, f"document.querySelectorAll('.pair[data-bar=\"{bar}\"] svg g.measure').length === 2")
        page.wait_for_timeout(100)
        most = max(most, page.evaluate(drawn))
    # of 64 bars in two rows; systems are drawn whole
    assert 0 < most < 96
    until(page, "document.querySelectorAll('.pair[data-bar=\"0\"] svg *').length === 0")
    # nothing has moved by it, and the way back is drawn again
    assert page.evaluate(rooms) == heights
    page.evaluate("scrollTo(0, 0)")
    until(page, "document.querySelectorAll('.pair[data-bar=\"0\"] svg g.measure').length === 2")
    until(page, "document.querySelectorAll('.pair[data-bar=\"63\"] svg *').length === 0")


def test_what_sounds_is_marked_in_both_rows_that_come_near_while_it_plays(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/bass-line/index.html", viewport=WIDE)
    page.keyboard.press("b")
    page.wait_for_selector(".pair[data-bar='0'] svg g.measure")
    for _ in range(14):
        page.keyboard.press("-")
    page.click("#play")
    sounding = "document.querySelectorAll('.pair[data-bar=\"0\"] svg .sounding').length"
    until(page, f"{sounding} > 1")
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    until(page, "document.querySelectorAll('.pair[data-bar=\"0\"] svg *').length === 0")
    page.evaluate("scrollTo(0, 0)")
    until(page, "document.querySelectorAll('.pairs .sounding').length > 1")


def test_of_two_quick_wishes_for_a_stage_the_later_counts(open_page: OpenPage, site: str) -> None:
    """Also where the answer to the first comes after that to the second, or the second is to stay."""
    page = opened(open_page, f"{site}stages/as-written/index.html", service_workers="block")
    slow: list[Route] = []

    def hold(route: Route) -> None:
        slow.append(route)

    page.route("**/stages/bass-line/timing.json", hold)
    # away, and at once back to the stage that is still open
    page.keyboard.press("1")
    page.wait_for_timeout(200)
    open_stage(page, "as-written")
    assert len(slow) == 1
    slow[0].continue_()
    page.wait_for_timeout(500)
    assert page.get_attribute("#piece", "data-stage") == "as-written"
    assert "/stages/as-written/" in page.url
    # to one stage, whose answer is late, and on to another
    slow.clear()
    page.route("**/stages/outer-voices/timing.json", hold)
    page.keyboard.press("2")
    page.wait_for_timeout(200)
    open_stage(page, "bass-line")
    until_stage(page, "bass-line")
    assert len(slow) == 1
    slow[0].continue_()
    page.wait_for_timeout(500)
    assert page.get_attribute("#piece", "data-stage") == "bass-line"
    assert "/stages/bass-line/" in page.url
    assert page.text_content("#stage-title") == "Bass line"


def test_a_link_to_bars_is_copied_and_opens_them(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/bass-line/index.html", **TOUCH)
    first = scrolled(page, 3)
    page.tap("[data-opens='practice']")
    # without a loop the sheet offers the bars from the place on
    assert page.input_value("#loop-first") == str(first)
    page.select_option("#loop-last", index=first + 2)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.tap("#copy-link")
    until(page, f"document.getElementById('link-said').textContent === 'Copied: bars {first + 1} to {first + 3}.'")
    assert page.is_hidden("#link")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == f"{site}stages/bass-line/index.html#bars-{first + 1}-{first + 3}"
    # where pages have no clipboard the link stands there, chosen, to be copied by hand
    page.evaluate("Object.defineProperty(navigator, 'clipboard', { value: undefined }); undefined")
    page.select_option("#loop-last", index=first)
    page.tap("#copy-link")
    page.wait_for_selector("#link", state="visible")
    assert page.input_value("#link") == f"{site}stages/bass-line/index.html#bar-{first + 1}"
    chosen = "(link) => link.value.slice(link.selectionStart, link.selectionEnd)"
    assert page.locator("#link").evaluate(chosen) == page.input_value("#link")
    other = open_page(copied)
    until(other, LOOPS)


def test_a_phone_that_is_turned_while_it_plays_shows_what_sounds(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html", viewport=PHONE, **TOUCH)
    first = scrolled(page, 6)
    page.tap("#play")
    until_bar(page, str(first + 1))
    in_view = """() => { const note = document.querySelector(".system .sounding"); if (!note) return false;
      const { top, bottom } = note.getBoundingClientRect(); return top >= 0 && bottom <= innerHeight; }"""
    for turned in (ON_ITS_SIDE, PHONE):
        page.set_viewport_size(turned)
        page.wait_for_function(in_view)
        bar = int(page.evaluate("document.querySelector('.system .sounding').closest('[data-bar]').dataset.bar"))
        assert first <= bar <= first + 8
    page.wait_for_function(
        "(was) => document.querySelector('.sounding').dataset.note !== was",
        arg=page.get_attribute(".sounding", "data-note"),
    )
