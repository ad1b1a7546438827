"""All that is understood of a score, step by step: harmonies first, then what follows from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sitegen.analysis.afterbeats import keep_the_bass
from sitegen.analysis.counterpoint import find_counterpoint
from sitegen.analysis.depth import rank_depths
from sitegen.analysis.functions import name_functions
from sitegen.analysis.harmony import find_harmonies
from sitegen.analysis.lines import find_lines
from sitegen.analysis.naming import name_harmonies
from sitegen.analysis.nouns import Analysis, LineName, NoteReading
from sitegen.analysis.passages import find_passages
from sitegen.analysis.phrases import find_phrases
from sitegen.analysis.tension import measure_tension
from sitegen.analysis.texture import find_textures
from sitegen.score import Score


def analyse(score: Score) -> Analysis:
    """The analysis of ``score``: one reading for every note, harmonies from 0 to ``score.end`` without a gap."""
    harmonies = name_harmonies(score, keep_the_bass(score, find_harmonies(score)))
    readings = name_functions(score, harmonies)
    textures = find_textures(score, harmonies, readings)
    lines = find_lines(score, harmonies, readings, textures)
    melody = {note for name, chain in lines if name == "melody" for note in chain}
    phrases = find_phrases(score, harmonies, readings, melody)
    depths = rank_depths(score, harmonies, readings, lines)
    notes = _placed(readings, lines, depths)
    tension = measure_tension(score, harmonies, notes)
    analysis = Analysis(harmonies, notes, textures, tension, phrases, lines, find_counterpoint(score))
    return replace(analysis, passages=find_passages(score, analysis))


def _placed(
    readings: Mapping[str, NoteReading],
    lines: Sequence[tuple[LineName, tuple[str, ...]]],
    depths: Mapping[str, float],
) -> dict[str, NoteReading]:
    """The readings with the line that each note belongs to and its depth in it."""
    line_of = {note: name for name, chain in lines for note in chain}
    return {note: replace(reading, line=line_of.get(note), depth=depths[note]) for note, reading in readings.items()}
