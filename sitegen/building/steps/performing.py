"""The performance of a stage at the tempo of the piece."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.building.steps.nouns import Outputs
from sitegen.engraving.nouns import Performance, Timing
from sitegen.engraving.tempo import at_tempo
from sitegen.engraving.velocities import with_velocities
from sitegen.reduction import StageNote
from sitegen.reduction.notes import UNMARKED, velocities
from sitegen.score.nouns import Score


def perform(performance: Performance, score: Score, notes: tuple[StageNote, ...], tempo: float) -> Outputs:
    """The file ``midi`` of a piece that begins at ``tempo`` quarters a minute, its ``notes`` as loud as the signs of
    the score say, and when all of it is ``played``."""
    performed = at_tempo(performance, tempo) if tempo else performance
    loud = velocities(score, notes)
    performed = with_velocities(performed, loud)
    return Outputs(midi=performed.midi, played=_played(performed.timing, score, loud))


def _played(timing: Timing, score: Score, loud: Mapping[str, int]) -> dict[str, Any]:
    """What is played of a stage: seconds at the piece's own tempo, repeats unfolded, to the millisecond. ``velocities``
    are those of the notes in their order (MIDI, 1 to 127)."""
    beat = [score.bars[p.bar].metre.beat_quarters for p in timing.bars]
    tempo: list[dict[str, float]] = []
    for played, unit in zip(timing.bars, beat, strict=True):
        speed = round(played.beats_a_minute / float(unit), 2)
        if not tempo or tempo[-1]["beats_a_minute"] != speed:
            tempo.append({"at": round(played.on, 3), "beats_a_minute": speed})
    return {
        "contract": 1,
        "notes": [{"id": n.id, "on": round(n.on, 3), "off": round(n.off, 3)} for n in timing.notes],
        "velocities": [loud.get(n.id, UNMARKED) for n in timing.notes],
        "bars": [{"bar": p.bar, "on": round(p.on, 3), "off": round(p.off, 3)} for p in timing.bars],
        "tempo": tempo,
        "length": round(timing.length, 3),
    }
