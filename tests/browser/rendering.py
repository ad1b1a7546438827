"""The player's sound without a device: rendered as fast as it goes, and what is heard in it measured.

The scripts of the shipped page are driven as in playing, but into an ``OfflineAudioContext``; where notes begin is then
read off the sound itself.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

#: Seconds before the first note, so that it is handed over in time (``play/transport.js``).
LEAD = 0.08

_RENDER = """
async ({ engine, timing, speed, seconds, loop, bars, expected, joins, stretches }) => {
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

  // How late each note begins, in seconds: where its sound first reaches a twentieth of what it will reach. What sounds
  // before it, from a tenth of a second to a hundredth, must be less than that.
  const late = expected.map((time) => {
    const at = (seconds) => Math.max(0, Math.round((time + seconds) * 44100));
    let loudest = 0;
    for (let index = at(-0.01); index < at(0.05); index += 1) loudest = Math.max(loudest, Math.abs(sound[index]));
    for (let index = at(-0.1); index < at(0.05); index += 1) {
      if (Math.abs(sound[index]) < Math.max(0.002, loudest / 20)) continue;
      return index / 44100 - time;
    }
    return null;
  });
  // How much louder it is in the 40 ms after each join than in the 40 ms before it.
  const rises = joins.map((time) => {
    const peak = (from, to) => {
      let most = 0;
      for (const each of sound.subarray(Math.round(from * 44100), Math.round(to * 44100))) {
        most = Math.max(most, Math.abs(each));
      }
      return most;
    };
    return peak(time, time + 0.04) / peak(time - 0.04, time);
  });
  // The largest deflection of each stretch of time.
  const peaks = stretches.map(([from, to]) => {
    const heard = sound.subarray(Math.round(from * 44100), Math.round(to * 44100));
    return heard.reduce((most, each) => Math.max(most, Math.abs(each)), 0);
  });
  return { late, rises, peaks };
}
"""


@dataclass(frozen=True)
class Measured:
    """``late``: for each expected note, how much later it is heard, in seconds. ``rises``: for each join of tied notes,
    how much louder it is after it than before it. ``peaks``: for each stretch of time its largest deflection, 0 to 1.
    """

    late: list[float]
    rises: list[float]
    peaks: list[float]

    @property
    def worst(self) -> float:
        """The largest deviation in seconds. A note that is not heard at all deviates by ever so much."""
        return max(float("inf") if each is None else abs(each) for each in self.late)


def render(page: Page, root: Path, timing: dict[str, Any], expected: list[float], **wish: Any) -> Measured:
    """Plays ``timing`` and measures it. ``page`` is any page of the site in ``root``; ``expected`` are seconds of the
    sound at which a note must be heard after silence. ``wish``: ``speed``, ``loop``, ``joins``,
    ``stretches``, ``seconds`` to render.
    """
    engine = "/" + next((root / "assets").glob("engine-*.js")).relative_to(root).as_posix()
    bars = [{"length": 1, "beat": 1, "lead": 0}] * len(timing["bars"])
    given = {"engine": engine, "timing": timing, "bars": bars, "expected": expected}
    usual = {"loop": None, "speed": 1.0, "joins": [], "stretches": [], "seconds": expected[-1] + 1.5}
    found = page.evaluate(_RENDER, json.loads(json.dumps({**usual, **wish, **given})))
    return Measured(found["late"], found["rises"], found["peaks"])


def every(interval: float, midis: list[int], length: float = 0.08) -> dict[str, Any]:
    """A timing in which notes follow each other at an interval in seconds, each in a bar of its own."""
    times = [n * interval for n in range(len(midis))]
    return {
        "notes": [
            {"id": str(n), "on": on, "off": on + length, "midi": midi, "hand": "right", "bar": n}
            for n, (on, midi) in enumerate(zip(times, midis, strict=True))
        ],
        "bars": [{"bar": n, "on": on, "off": on + interval} for n, on in enumerate(times)],
        "tempo": [{"at": 0, "beats_a_minute": 60}],
        "length": len(midis) * interval,
    }


def wandering(count: int) -> list[int]:
    """Notes that leap about the whole keyboard, from A0 to C8."""
    return [21 + 37 * n % 88 for n in range(count)]
