"""The performance of a stage at the tempo of the piece."""

from __future__ import annotations

from typing import Any

from sitegen.building.steps.nouns import Outputs
from sitegen.engraving.nouns import Performance, Timing
from sitegen.engraving.tempo import at_tempo
from sitegen.score.nouns import Score


def perform(performance: Performance, score: Score, tempo: float) -> Outputs:
    """The file ``midi`` of a piece that begins at ``tempo`` quarters a minute, and when all of it is ``played``."""
    performed = at_tempo(performance, tempo) if tempo else performance
    return Outputs(midi=performed.midi, played=_played(performed.timing, score))


def _played(timing: Timing, score: Score) -> dict[str, Any]:
    """What is played of a stage: seconds at the piece's own tempo, repeats unfolded, to the millisecond."""
    beat = [score.bars[p.bar].metre.beat_quarters for p in timing.bars]
    tempo: list[dict[str, float]] = []
    for played, unit in zip(timing.bars, beat, strict=True):
        speed = round(played.beats_a_minute / float(unit), 2)
        if not tempo or tempo[-1]["beats_a_minute"] != speed:
            tempo.append({"at": round(played.on, 3), "beats_a_minute": speed})
    return {
        "contract": 1,
        "notes": [{"id": n.id, "on": round(n.on, 3), "off": round(n.off, 3)} for n in timing.notes],
        "bars": [{"bar": p.bar, "on": round(p.on, 3), "off": round(p.off, 3)} for p in timing.bars],
        "tempo": tempo,
        "length": round(timing.length, 3),
    }
