"""The place is kept when the stage changes, the phone is turned, the notes grow, or the page is loaded anew."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page

from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.browser.conftest import OpenPage
from tests.browser.listening import note_marks, open_stage, unfold_plan, until, until_hands, until_stage, wait_for_marks
from tests.browser.serving import serving
from tests.building.studio import musicxml, write_content, write_piece

LONG = musicxml(" | ".join(["C5q D5 E5 F5", "G5h E5", "F5q E5 D5 C5", "D5w"] * 12), " | ".join(["C3w"] * 48))
WORDS = "First words.\n\n" + "More words.\n\n" * 30 + "Now [hear the turn](bars:33-36/bass-line).\n\nLast words."
ON_ITS_SIDE = {"width": 844, "height": 390}
#: The first and the last bar of the system at the top of the view, and how far below the top of the screen it begins.
TOP = """() => {
  const boxes = [...document.querySelectorAll(".system[data-first]")].filter((box) => box.getClientRects().length);
  const seen = boxes.find((each) => {
    const { top, height } = each.getBoundingClientRect();
    return top + height / 2 > 0;
  });
  return [Number(seen.dataset.first), Number(seen.dataset.last), Math.round(seen.getBoundingClientRect().top)];
}"""

#: A device whose storage is not to be had, and one that has no room left.
KEEPS_NOTHING = {
    "blocked": "Object.defineProperty(window, 'localStorage', { get() { throw new Error('blocked'); } });",
    "full": "Storage.prototype.setItem = () => { throw new DOMException('', 'QuotaExceededError'); };",
}
#: Counts how often a page says that nothing is kept.
HEARD = """
window.told = 0;
addEventListener("DOMContentLoaded", () => {
  const saying = document.getElementById("saying");
  const hear = () => { if (saying.textContent.startsWith("This device keeps nothing")) told += 1; };
  if (saying) new MutationObserver(hear).observe(saying, { childList: true, characterData: true, subtree: true });
});
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    root: Path = tmp_path_factory.mktemp("long")
    content = write_content(root / "content", march=LONG)
    write_piece(content, "march", LONG, WORDS)
    piece = content / "march" / "piece.md"
    front = piece.read_text(encoding="utf-8")
    assert "title: March\n" in front
    piece.write_text(front.replace("title: March\n", "title: 'At noon: March'\n"), encoding="utf-8")
    outcome = build_site(content, root / "site", Store(root / "store"), 0, lambda *_: None)
    assert outcome.errors == ()
    with serving(root / "site") as address:
        yield f"{address}pieces/march/"


def opened(open_page: OpenPage, address: str, **options: object) -> Page:
    page = open_page(address, **options)
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector(".systems svg.engraving")
    return page


def scrolled(page: Page, system: int) -> int:
    """Scrolls, as a finger does, to a system and returns its first bar."""
    boxes = page.locator(".system:visible")
    boxes.nth(system).evaluate("box => box.scrollIntoView({ block: 'start', behavior: 'instant' })")
    first = int(boxes.nth(system).get_attribute("data-first") or "")
    until(page, f"location.hash === '#bar-{first + 1}'")
    # the bar at the foot names it, and begins there
    assert page.inner_text("#place") == f"Bar {first + 1}"
    return first


def test_the_bar_at_the_top_is_the_place_whatever_changes(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    first = scrolled(page, 5)
    assert first > 8
    at = page.evaluate(TOP)
    # another stage, by key and by its link
    page.keyboard.press("1")
    until_stage(page, "bass-line")
    begins, ends, top = page.evaluate(TOP)
    assert begins <= first <= ends
    assert abs(top - at[2]) < 3
    until(page, f"location.href.endsWith('/stages/bass-line/index.html#bar-{first + 1}')")
    page.locator(".ladder a[data-stage='as-written']").dispatch_event("click")
    until_stage(page, "as-written")
    assert page.evaluate(TOP)[0] == first
    # turned, and back
    page.set_viewport_size(ON_ITS_SIDE)
    page.wait_for_timeout(500)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= first <= ends
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_timeout(500)
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= first <= ends
    # larger notes, and the same lines at another scale
    page.keyboard.press("o")
    for size in ("larger", "largest", "larger"):
        page.check(f"#settings input[name=size][value={size}]")
        page.wait_for_timeout(500)
        begins, ends, _ = page.evaluate(TOP)
        assert begins <= first <= ends
    page.keyboard.press("Escape")
    # loaded anew
    asked = page.evaluate("location.hash")
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_timeout(1000)
    assert page.evaluate("location.hash") == asked
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= first <= ends


def test_it_plays_from_the_place_and_in_a_loop_within_it(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    note_marks(page)
    first = scrolled(page, 4)
    page.keyboard.press(" ")
    wait_for_marks(page, 1)
    assert page.inner_text("#place") == f"Bar {first + 1}"
    page.keyboard.press(" ")
    page.evaluate("location.hash = '#bars-2-3'")
    until(page, "document.getElementById('loop').getAttribute('aria-pressed') === 'true'")
    page.wait_for_timeout(700)
    scrolled_away = page.locator(".system:visible").nth(8)
    scrolled_away.evaluate("box => box.scrollIntoView({ block: 'start', behavior: 'instant' })")
    page.wait_for_timeout(200)
    page.keyboard.press(" ")
    until(page, "document.getElementById('play').hasAttribute('data-playing')")
    assert page.inner_text("#place") in ("Bar 2", "Bar 3")


def test_back_leads_to_the_sentence_that_was_read(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    link = page.get_by_text("hear the turn")
    link.scroll_into_view_if_needed()
    before = page.evaluate("scrollY")
    link.click()
    until_stage(page, "bass-line")
    until(page, "document.getElementById('loop').getAttribute('aria-pressed') === 'true'")
    page.wait_for_timeout(800)
    assert page.url.endswith("/stages/bass-line/index.html#bars-33-36")
    begins, ends, _ = page.evaluate(TOP)
    assert begins <= 32 <= ends
    page.keyboard.press(" ")
    page.go_back()
    until_stage(page, "as-written")
    page.wait_for_timeout(500)
    assert abs(page.evaluate("scrollY") - before) < 40
    assert link.is_visible()


def test_small_things_that_were_wrong(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    icon = page.evaluate("document.querySelector('link[rel=icon]').href")
    assert page.title() == "At noon: March: As written · The small studio"
    open_stage(page, "bass-line")
    until_stage(page, "bass-line")
    assert page.title() == "At noon: March: Bass line · The small studio"
    assert page.evaluate("document.querySelector('link[rel=icon]').href") == icon
    # space plays, also with the finger's last link in focus
    page.locator("#commentary .to-bars").first.focus()
    page.keyboard.press(" ")
    until(page, "document.getElementById('play').hasAttribute('data-playing')")
    page.keyboard.press(" ")
    # a sheet stays at a tap on its own edge, and goes at one beside it
    page.keyboard.press("?")
    box = page.locator("#help").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 4, box["y"] + 4)
    assert page.locator("#help").is_visible()
    page.mouse.click(box["x"] + box["width"] / 2, max(2.0, box["y"] - 20))
    page.locator("#help").wait_for(state="hidden")


def test_pedals_turn_pages_of_music_and_nothing_else(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    page.locator(".systems:visible").evaluate("music => music.scrollIntoView({ block: 'start', behavior: 'instant' })")
    tempo = page.inner_text("#beats")
    foot = page.evaluate("innerHeight - document.getElementById('player').offsetHeight")
    firsts = [page.evaluate(TOP)[0]]
    for key in ("ArrowDown", "ArrowRight", "PageDown"):
        last = page.evaluate(
            "foot => [...document.querySelectorAll('.system')].filter((box) => box.getClientRects().length &&"
            " box.getBoundingClientRect().bottom <= foot).at(-1).dataset.last",
            foot,
        )
        page.keyboard.press(key)
        page.wait_for_timeout(150)
        begins, _, top = page.evaluate(TOP)
        assert begins == int(last) + 1, "the page begins with the first system that was not wholly seen"
        assert 0 <= top < 30
        firsts.append(begins)
    for key in ("ArrowUp", "ArrowLeft", "PageUp"):
        page.keyboard.press(key)
        page.wait_for_timeout(150)
        assert page.evaluate(TOP)[0] <= firsts[-1]
        firsts.pop()
    assert page.inner_text("#beats") == tempo


def test_tempo_and_hands_are_those_of_the_last_time(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    page.keyboard.press("-")
    page.keyboard.press("-")
    page.keyboard.press("a")
    tempo = page.inner_text("#beats")
    assert tempo.startswith("90 %")
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    until(page, "document.getElementById('hands').value === 'right'")
    assert page.inner_text("#beats") == tempo
    until_hands(page, "right")


@pytest.mark.parametrize("device", KEEPS_NOTHING)
def test_a_device_that_keeps_nothing_is_told_of_and_all_works(open_page: OpenPage, site: str, device: str) -> None:
    page = open_page(site)
    page.add_init_script(KEEPS_NOTHING[device])
    page.goto(f"{site}stages/as-written/index.html")
    page.wait_for_selector("#player:not([hidden])")
    page.keyboard.press("m")
    until(page, "document.getElementById('saying').textContent.startsWith('This device keeps nothing')")
    page.keyboard.press("-")
    assert page.inner_text("#beats").startswith("95 %")
    page.keyboard.press("1")
    until_stage(page, "bass-line")


@pytest.mark.parametrize("device", KEEPS_NOTHING)
def test_ticks_that_are_not_kept_are_told_of_once(open_page: OpenPage, trial: str, device: str) -> None:
    page = open_page(trial)
    page.add_init_script(KEEPS_NOTHING[device] + HEARD)
    page.goto(f"{trial}pieces/eight-bars/stages/bass-line/index.html")
    page.wait_for_selector("#player:not([hidden])")
    unfold_plan(page)
    for task in (0, 1):
        page.locator("#plan input[data-task]").nth(task).check()
    page.keyboard.press("t")
    page.wait_for_timeout(300)
    # what is ticked stays ticked as long as the page is open
    assert [page.locator("#plan input[data-task]").nth(task).is_checked() for task in (0, 1)] == [True, True]
    assert page.evaluate("told") == 1
    # where there is no music the settings say it
    page.goto(trial)
    page.click("button[data-opens='settings']")
    page.check("#settings [value='dark']")
    until(page, "document.querySelector('#settings [data-keeps]').textContent.startsWith('This device keeps nothing')")


def test_what_is_ticked_in_one_tab_is_ticked_in_the_other(open_page: OpenPage, trial: str) -> None:
    address = f"{trial}pieces/eight-bars/stages/bass-line/index.html"
    one = opened(open_page, address)
    other = one.context.new_page()
    other.goto(address)
    other.wait_for_selector("#player:not([hidden])")
    for each in (one, other):
        unfold_plan(each)
    one.locator("#plan input[data-task]").nth(0).check()
    until(other, "document.querySelectorAll('#plan input[data-task]')[0].checked")
    other.locator("#plan input[data-task]").nth(1).check()
    one.reload()
    assert one.locator("#plan input[data-task]").nth(0).is_checked()
    assert one.locator("#plan input[data-task]").nth(1).is_checked()


def test_ticks_of_two_tabs_stay_also_where_neither_hears_of_the_other(open_page: OpenPage, trial: str) -> None:
    """As on a phone, where a tab that is not seen sleeps."""
    address = f"{trial}pieces/eight-bars/stages/bass-line/index.html"
    one = open_page(address)
    one.context.add_init_script("addEventListener('storage', (event) => event.stopImmediatePropagation(), true)")
    one.goto(address)
    other = one.context.new_page()
    other.goto(address)
    for number, each in enumerate((one, other)):
        each.wait_for_selector("#player:not([hidden])")
        unfold_plan(each)
        each.locator("#plan input[data-task]").nth(number).check()
    one.locator("#plan input[data-task]").nth(2).check()
    one.reload()
    assert [one.locator("#plan input[data-task]").nth(number).is_checked() for number in range(3)] == [True] * 3


AWAKE = """
window.locks = 0;
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  const lock = new EventTarget();
  locks += 1;
  lock.release = async () => { locks -= 1; lock.dispatchEvent(new Event("release")); };
  return lock;
} } });
"""


def test_the_screen_stays_on_while_a_piece_is_open_and_the_pupil_wants_it(open_page: OpenPage, site: str) -> None:
    page = open_page(site)
    page.add_init_script(AWAKE)
    page.goto(f"{site}stages/as-written/index.html")
    page.wait_for_selector("#player:not([hidden])")
    until(page, "locks === 1")
    page.keyboard.press("o")
    page.uncheck("#settings input[name=awake]")
    until(page, "locks === 0")
    page.keyboard.press("Escape")
    page.locator("#settings").wait_for(state="hidden")
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 1)
    until(page, "locks === 1")
    page.click("#play")
    until(page, "locks === 0")
