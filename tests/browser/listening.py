"""What a listener with the score would note down: which notes are marked, and where the music is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

_PATIENCE = 400  # polls of 50 ms; reached only where something never happens


def until(page: Page, truth: str) -> None:
    """Waits until an expression is true. (Playwright's own waiting needs ``eval``, which the pages' policy refuses.)"""
    for _ in range(_PATIENCE):
        if page.evaluate(truth):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never true: {truth}")


def until_stage(page: Page, stage: str) -> None:
    until(page, f"document.getElementById('piece').dataset.stage === '{stage}'")


def until_bar(page: Page, bar: str) -> None:
    until(page, f"document.getElementById('place').textContent === 'Bar {bar}'")


def open_stage(page: Page, stage: str) -> None:
    """Opens the sheet with the whole ladder and taps a stage in it."""
    page.click("#stage-name")
    page.click(f".ladder a[data-stage='{stage}']")


def unfold_plan(page: Page) -> None:
    """Unfolds the plan at the head of the page."""
    page.click("#today summary")


def choose_hands(page: Page, hands: str) -> None:
    """Chooses both hands or one, on a small screen from what is shown above the keys."""
    if page.is_hidden("#hands"):
        page.click("#open-view")
    page.select_option("#hands", hands)
    until_hands(page, hands)


def until_hands(page: Page, hands: str) -> None:
    """Waits until the drawings show these hands."""
    page.wait_for_selector(f"#piece[data-hands={hands}]")


def note_marks(page: Page) -> None:
    """From now on, remember every change of the sounding notes."""
    page.evaluate(
        "window.heard = [];"
        "document.getElementById('music').addEventListener('sounding', (event) => heard.push(event.detail))"
    )


def marks(page: Page) -> list[dict[str, Any]]:
    """The changes so far: ``ids`` that sound from ``at``, seconds of the music at its own tempo."""
    heard: list[dict[str, Any]] = page.evaluate("window.heard")
    return heard


def wait_for_marks(page: Page, count: int) -> list[dict[str, Any]]:
    until(page, f"window.heard.length >= {count}")
    return marks(page)


def timing_of(folder: Path, stage: str) -> dict[str, Any]:
    timing: dict[str, Any] = json.loads((folder / "stages" / stage / "timing.json").read_text())
    return timing


def sounding_at(timing: dict[str, Any], at: float) -> set[str]:
    """The ids of the notes that sound at a time, by the timing file."""
    return {note["id"] for note in timing["notes"] if note["on"] <= at < note["off"]}


def bar_shown(page: Page) -> str:
    """The bar that the player names."""
    return page.inner_text("#place")


def tap_note(page: Page, note: str) -> None:
    """Taps a note as a finger does, at the middle of its head."""
    head = page.locator(f"[data-note='{note}'] .notehead").first.bounding_box()
    assert head is not None
    page.mouse.click(head["x"] + head["width"] / 2, head["y"] + head["height"] / 2)


def start_slowly_with_count_in(page: Page) -> None:
    """Plays at the slowest tempo, after a bar that is counted in; marks are noted down from the start."""
    for _ in range(14):
        page.keyboard.press("-")
    page.keyboard.press("c")
    note_marks(page)
    page.click("#play")
    page.wait_for_selector("#play[data-playing]")


def note_contexts(page: Page) -> None:
    """From now on, the contexts in which sound is made are in ``contexts``. To be called before the first sound."""
    page.evaluate(
        "window.contexts = []; const Real = AudioContext;"
        "window.AudioContext = class extends Real { constructor(...all) { super(...all); contexts.push(this); } };"
        "undefined"
    )


def attend_to_sound(page: Page) -> None:
    """From now on, whatever is led to the loudspeakers is measured too. To be called before the first sound."""
    page.evaluate(
        """() => {
          window.meters = [];
          const lead = AudioNode.prototype.connect;
          AudioNode.prototype.connect = function (to, ...more) {
            if (to instanceof AudioDestinationNode) {
              const meter = this.context.createAnalyser();
              meter.fftSize = 32768;
              lead.call(this, meter);
              meters.push(meter);
            }
            return lead.call(this, to, ...more);
          };
        }"""
    )


def loudest(page: Page, milliseconds: int) -> float:
    """The largest deflection, 0 to 1, of the sound of the coming stretch of time."""
    found: float = page.evaluate(
        """async (milliseconds) => {
          const now = () => Math.max(0, ...meters.map((meter) => {
            const wave = new Float32Array(meter.fftSize);
            meter.getFloatTimeDomainData(wave);
            return wave.reduce((most, each) => Math.max(most, Math.abs(each)), 0);
          }));
          let most = 0;
          // the meters hold the last 0.7 seconds
          for (let rest = milliseconds; rest > 0; rest -= 300) {
            await new Promise((resolve) => setTimeout(resolve, 300));
            most = Math.max(most, now());
          }
          return most;
        }""",
        milliseconds,
    )
    return found


def swipe(page: Page, start: int, end: int) -> None:
    """A finger drawn across the music that is seen, from and to these pixels, as the device reports it."""
    y = max(page.evaluate("document.getElementById('music').getBoundingClientRect().top") + 40, 300)
    touch = page.context.new_cdp_session(page)
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": start, "y": y}]})
    for step in range(1, 9):
        at = start + (end - start) * step / 8
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": at, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
