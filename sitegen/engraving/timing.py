"""When each drawn note sounds, from verovio's time map, with repeats unfolded."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from sitegen.engraving.nouns import PlayedBar, PlayedNote, Timing

_PASS = re.compile(r"-rend\d+$")


def read_timing(
    timemap: list[dict[str, Any]], pitches: Mapping[str, int], bars: Mapping[str, int], stretch: float = 1.0
) -> Timing:
    """The performance that a time map (milliseconds) describes.

    ``pitches`` gives the MIDI number of each note id that counts (continuations of ties do not), ``bars`` the index
    of each measure id; all times are multiplied by ``stretch``. In a second pass verovio adds ``-rend2`` to an id; the drawn note is the one without it.
    """
    open_notes: dict[str, tuple[float, int]] = {}
    notes: list[PlayedNote] = []
    reached: list[tuple[int, float, float]] = []
    tempo, now = 120.0 / stretch, 0.0
    for entry in timemap:
        now = entry["tstamp"] / 1000 * stretch
        tempo = float(entry["tempo"]) / stretch if "tempo" in entry else tempo
        for name in entry.get("off", ()):
            if name in open_notes:
                on, bar = open_notes.pop(name)
                plain = _PASS.sub("", name)
                notes.append(PlayedNote(plain, on, max(now, on), pitches[plain], bar))
        measure = entry.get("measureOn")
        if measure is not None and _PASS.sub("", measure) in bars:
            reached.append((bars[_PASS.sub("", measure)], now, tempo))
        for name in entry.get("on", ()):
            if _PASS.sub("", name) in pitches:
                open_notes[name] = now, reached[-1][0] if reached else 0
    ends = [on for _, on, _ in reached[1:]] + [now]
    played = tuple(PlayedBar(bar, on, off, speed) for (bar, on, speed), off in zip(reached, ends, strict=True))
    notes.sort(key=lambda n: (n.on, n.midi, n.id))
    return Timing(tuple(notes), played, now)
