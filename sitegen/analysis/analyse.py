"""All that is understood of a score, step by step: harmonies first, then what follows from them."""

from __future__ import annotations

from sitegen.analysis.harmony import find_harmonies
from sitegen.analysis.nouns import Analysis, Harmony, NoteReading
from sitegen.score import Score


def analyse(score: Score) -> Analysis:
    """The analysis of ``score``: one reading for every note, harmonies from 0 to ``score.end`` without a gap."""
    harmonies = find_harmonies(score)
    readings = _chord_tones(score, harmonies)
    return Analysis(harmonies, readings)


def _chord_tones(score: Score, harmonies: tuple[Harmony, ...]) -> dict[str, NoteReading]:
    readings: dict[str, NoteReading] = {}
    position = 0
    for note in score.notes:
        while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
            position += 1
        inside = bool(harmonies) and note.pitch.pitch_class in harmonies[position].pitch_classes
        readings[note.id] = NoteReading("chord tone" if inside and not note.grace else "free")
    return readings
