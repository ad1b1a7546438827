"""The player against the clock: rendered without a device, each note must sound when its time has come.

The pieces of the shipped page are driven as in playing, but into an ``OfflineAudioContext``; where notes begin is then
read off the sound itself.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import OpenPage

_TOLERANCE = 0.005
_RENDER = """
async ({ engine, timing, speed, seconds, loop, bars }) => {
  const { createEngine } = await import(engine);
  const { createTransport } = await import("/_sources/play/transport.js");
  const context = new OfflineAudioContext(1, Math.ceil(seconds * 44100), 44100);
  const piano = createEngine(new URL("/sounds/", location.href), context);
  await piano.prepare(timing.notes.map((note) => note.midi));
  const transport = createTransport(bars, { ended() {} });
  transport.setSound(piano);
  transport.setTiming(timing);
  transport.setSpeed(speed);
  if (loop) transport.setLoop(loop);
  transport.start({ counted: false });
  // In steps, as a page that is woken now and then hands the notes over.
  for (let at = 0.05; at < seconds; at += 0.173) transport.handOver(at);
  const sound = (await context.startRendering()).getChannelData(0);

  // A note begins where the sound, after near silence, first reaches a twentieth of what it will reach.
  const begins = [];
  const step = 44;
  let quiet = 0;
  for (let index = 0; index + step < sound.length; index += step) {
    let peak = 0;
    for (let each = index; each < index + step; each += 1) peak = Math.max(peak, Math.abs(sound[each]));
    if (peak < 0.004) quiet += 1;
    else {
      if (quiet >= 10) {
        let loudest = 0;
        const end = Math.min(sound.length, index + 1300);
        for (let each = index; each < end; each += 1) loudest = Math.max(loudest, Math.abs(sound[each]));
        let first = index - step;
        while (first < end && Math.abs(sound[first]) < loudest / 20) first += 1;
        begins.push(first / 44100);
      }
      quiet = 0;
    }
  }
  return begins;
}
"""


def _render(open_page: OpenPage, trial: str, trial_root: Path, **wish: Any) -> list[float]:
    page = open_page(f"{trial}about/index.html")
    engine = "/" + next((trial_root / "assets").glob("engine-*.js")).relative_to(trial_root).as_posix()
    begins: list[float] = page.evaluate(_RENDER, json.loads(json.dumps({"engine": engine, "loop": None, **wish})))
    return begins


def _every(interval: float, count: int) -> dict[str, Any]:
    """Short notes at an interval, wandering over the keyboard."""
    notes = [
        {
            "id": str(n),
            "on": n * interval,
            "off": n * interval + 0.08,
            "midi": 48 + 7 * n % 37,
            "hand": "right",
            "bar": n,
        }
        for n in range(count)
    ]
    bars = [{"bar": n, "on": n * interval, "off": (n + 1) * interval} for n in range(count)]
    return {"notes": notes, "bars": bars, "tempo": [{"at": 0, "beats_a_minute": 60}], "length": count * interval}


@pytest.mark.parametrize("speed", [0.6, 1.0, 1.2])
def test_three_minutes_are_played_on_time_and_without_drift(
    open_page: OpenPage, trial: str, trial_root: Path, speed: float
) -> None:
    interval = 1.013
    count = round(180 * speed / interval)
    begins = _render(
        open_page,
        trial,
        trial_root,
        timing=_every(interval, count),
        speed=speed,
        seconds=181.5,
        bars=[{"length": 1, "beat": 1, "lead": 0}] * count,
    )
    assert len(begins) == count
    late = [begin - begins[0] - n * interval / speed for n, begin in enumerate(begins)]
    assert max(late) - min(late) < _TOLERANCE
    # The first note is given 80 ms, so that it is handed over in time.
    assert abs(begins[0] - 0.08) < _TOLERANCE


def test_a_loop_has_no_gap(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    interval = 0.75
    begins = _render(
        open_page,
        trial,
        trial_root,
        timing=_every(interval, 12),
        speed=1.0,
        seconds=40,
        loop={"from": 2 * interval, "to": 6 * interval},
        bars=[{"length": 1, "beat": 1, "lead": 0}] * 12,
    )
    late = [begin - begins[0] - n * interval for n, begin in enumerate(begins)]
    assert len(begins) >= 52
    assert max(late) - min(late) < _TOLERANCE
