"""The first sound: from within the tap, after the recordings of the first bars alone, with progress to be seen."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page, Route

from tests.browser.conftest import OpenPage
from tests.browser.listening import attend_to_sound, loudest, note_marks, until, wait_for_marks
from tests.browser.test_place import opened, site

__all__ = ["site"]  # a piece long enough that its end needs other recordings than its beginning

#: A context that, as WebKit's, may only be made and resumed while the tap is handled, before anything is awaited.
STRICT = """
window.inTap = false;
window.outside = [];
for (const type of ["click", "keydown"]) {
  addEventListener(type, () => (inTap = true), { capture: true });
  addEventListener(type, () => (inTap = false));
}
const Real = AudioContext;
window.AudioContext = class extends Real {
  constructor(...all) { super(...all); if (!inTap) outside.push("made"); }
  resume() { if (!inTap && this.state !== "running") outside.push("resumed"); return super.resume(); }
};
"""


def test_the_sound_is_made_and_resumed_within_the_tap(open_page: OpenPage, site: str) -> None:
    page = open_page(site)
    page.add_init_script(STRICT)
    page.goto(f"{site}stages/as-written/index.html")
    page.wait_for_selector("#player:not([hidden])")
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 1)
    page.click("#play")
    page.evaluate("document.querySelector('#play').blur()")
    page.keyboard.press(" ")
    wait_for_marks(page, 3)
    assert page.evaluate("outside") == []


def test_a_note_sounds_from_within_its_tap_though_its_card_is_on_its_way(open_page: OpenPage, site: str) -> None:
    page = open_page(site)
    page.add_init_script(STRICT)
    page.goto(f"{site}stages/as-written/index.html")
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("svg.engraving")
    attend_to_sound(page)
    held: list[Route] = []
    is_slow = True
    page.route("**/assets/part-*.js", lambda route: held.append(route) if is_slow else route.continue_())
    with page.expect_request("**/assets/part-*.js"):
        page.locator("svg.engraving .notehead").first.click()
    page.wait_for_timeout(300)
    assert page.is_hidden("#card")
    is_slow = False
    for route in held:
        route.continue_()
    page.wait_for_selector("#card:not([hidden])")
    assert loudest(page, 900) > 0.01
    assert page.evaluate("outside") == []


def test_it_begins_with_the_recordings_of_its_first_bars(open_page: OpenPage, site: str) -> None:
    page = opened(open_page, f"{site}stages/as-written/index.html")
    asked: list[str] = []
    held: list[Route] = []

    def answer(route: Route) -> None:
        name = Path(route.request.url).name
        asked.append(name)
        # the second recording is long in coming: the key fills up and waits for it
        if len(asked) == 2:
            held.append(route)
        else:
            route.continue_()

    page.route("**/sounds/begin/*.mp3", answer)
    note_marks(page)
    page.click("#play")
    until(page, "document.getElementById('play').style.getPropertyValue('--fetched') > '0%'")
    assert page.get_attribute("#play", "aria-busy") == "true"
    until(page, "document.getElementById('saying').textContent === 'Fetching the piano'")
    before = len(asked)
    held[0].continue_()
    wait_for_marks(page, 1)
    assert before <= 8, "what the first bars need, and no more"
    assert page.get_attribute("#play", "aria-busy") == "false"


def test_a_note_whose_recording_is_on_its_way_sounds_by_the_nearest(open_page: OpenPage, site: str) -> None:
    page: Page = opened(open_page, f"{site}stages/as-written/index.html")
    page.route("**/sounds/**/C5.mp3", lambda route: route.abort())
    said = page.evaluate(
        """async () => {
          const { createEngine } = await import(given.engine);
          const context = new OfflineAudioContext(1, 44100, 44100);
          const piano = createEngine(new URL("sounds/", given.root), context);
          await piano.prepare([69]);
          piano.play(72, 0, 0.5, "right");
          const data = (await context.startRendering()).getChannelData(0);
          return data.reduce((most, each) => Math.max(most, Math.abs(each)), 0);
        }"""
    )
    assert said > 0.01


def test_recordings_end_where_they_are_no_longer_heard_and_their_begins_are_small(trial_root: Path) -> None:
    sounds = trial_root / "sounds"
    whole = {path.name: path.stat().st_size for path in sounds.glob("*.mp3")}
    begins = {path.name: path.stat().st_size for path in (sounds / "begin").glob("*.mp3")}
    assert whole.keys() == begins.keys()
    assert max(whole.values()) < 160_000
    assert max(begins.values()) < 40_000
