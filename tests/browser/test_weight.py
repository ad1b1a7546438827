"""How much a page weighs before anybody taps, and that nothing jumps while it arrives."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Route

from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import until, until_stage
from tests.browser.test_place import site
from tests.browser.weighing import fetched_at, scripts_of

__all__ = ["site"]  # a piece of many systems

SCRIPT_LIMIT = 30_000
FIRST_STAGE_LIMIT = 150_000


def test_little_is_fetched_before_the_first_tap(browser: Browser, trial: str) -> None:
    fetched = fetched_at(browser, f"{trial}pieces/eight-bars/index.html", "svg.engraving")
    assert 0 < scripts_of(fetched) <= SCRIPT_LIMIT
    assert sum(fetched.values()) <= FIRST_STAGE_LIMIT
    assert not [path for path in fetched if path.endswith(".mp3") or "engine" in path]
    # nor is anything fetched that is drawn for another screen or for paper
    assert not [path for path in fetched if "/wide-" in path or "/large-" in path]


def test_until_scripts_draw_there_are_pictures_of_the_first_systems_alone(browser: Browser, site: str) -> None:
    seen = "[...document.querySelectorAll('.systems[data-layout=phone] img')].map((each) => each.checkVisibility())"
    with browser.new_context(viewport=PHONE, service_workers="block") as context:
        page = context.new_page()
        held: list[Route] = []
        page.route("**/assets/piece-*.js", lambda route: held.append(route))
        page.goto(f"{site}stages/as-written/index.html", wait_until="commit")
        page.wait_for_selector(".colophon", state="attached")
        until(page, f"{seen}.length > 8 && !{seen}[8]")  # the style has come too
        shown = page.evaluate(seen)
        assert shown == [True] * 5 + [False] * (len(shown) - 5)
        # where they do not come all are there, as without any
        until(page, "document.querySelector('script[type=module]')")
        assert held
        held[0].abort()
        until(page, f"{seen}.every(Boolean)")


@pytest.mark.parametrize("viewport", [PHONE, WIDE], ids=["phone", "wide"])
@pytest.mark.parametrize("path", ["index.html", "pieces/eight-bars/index.html"], ids=["gallery", "piece"])
def test_nothing_jumps_while_the_page_arrives(
    open_page: OpenPage, trial: str, path: str, viewport: dict[str, int]
) -> None:
    page = open_page(trial + path, viewport=viewport)
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


def test_only_the_samples_that_the_piece_needs_are_fetched(open_piece: OpenPage, trial_root: Path) -> None:
    page = open_piece("bass-line")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if request.url.endswith(".mp3") else None)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")
    page.wait_for_timeout(300)
    stages = trial_root / "pieces" / "eight-bars" / "stages"
    needed = {
        stage: {_recording(midi) for _, midi in json.loads(place.read_text())["pitches"].values()}
        for stage in ("bass-line", "as-written")
        for place in [stages / stage / "timing.json"]
    }
    assert {url.rsplit("/", 1)[1] for url in asked} == needed["bass-line"] < needed["as-written"]
    # another stage needs what it has more than this one
    page.keyboard.press("3")
    until_stage(page, "as-written")
    page.wait_for_timeout(500)
    assert {url.rsplit("/", 1)[1] for url in asked} == needed["bass-line"] | needed["as-written"]
    # each once, and the begins of those that sound first
    assert len(asked) == len(set(asked))
    whole = [url for url in asked if "/begin/" not in url]
    assert len(whole) < len(list((trial_root / "sounds").glob("*.mp3"))) / 2


def _recording(midi: int) -> str:
    """The file of the recorded note nearest to a MIDI note: one is recorded every three semitones, from A0 on."""
    nearest = 21 + 3 * round((midi - 21) / 3)
    return f"{ {0: 'C', 3: 'Ds', 6: 'Fs', 9: 'A'}[nearest % 12] }{nearest // 12 - 1}.mp3"


def test_every_key_has_a_recording_at_most_a_semitone_away(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    page = open_page(f"{trial}about/index.html")
    chosen = page.evaluate(
        """async () => {
          const { nearestSample, sampleFile } = await import("/_sources/sound/samples.js");
          const keys = Array.from({ length: 88 }, (_, key) => 21 + key);
          return keys.map((midi) => [midi, nearestSample(midi), sampleFile(nearestSample(midi))]);
        }"""
    )
    for midi, sample, file in chosen:
        assert abs(midi - sample) <= 1
        assert file == _recording(midi)
        assert (trial_root / "sounds" / file).stat().st_size > 1000
