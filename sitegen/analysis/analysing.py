"""All that is understood of a score, step by step: harmonies first, then what follows from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sitegen.analysis.chords import name_harmonies
from sitegen.analysis.counterpoint import find_counterpoint
from sitegen.analysis.depth import rank_depths
from sitegen.analysis.form import find_forms, find_phrases, melody_line
from sitegen.analysis.functions import name_functions
from sitegen.analysis.harmony import hear_with, settle_keys, without_seams
from sitegen.analysis.lines import find_lines
from sitegen.analysis.nouns import Analysis, LineName, NoteReading
from sitegen.analysis.readings import NONE_GIVEN, Readings
from sitegen.analysis.tension import measure_tension
from sitegen.analysis.texture import find_passages, find_textures
from sitegen.score import Score


def analyse(score: Score, readings: Readings | None = None) -> Analysis:
    """The analysis of ``score``: one reading for every note, harmonies from 0 to ``score.end`` without a gap.

    What the teacher's ``readings`` say holds as it stands; all the rest is worked out around it. Raises ``ValueError``
    for a chord of theirs whose name is none.
    """
    given = readings or NONE_GIVEN
    harmonies = without_seams(name_harmonies(score, settle_keys(score, hear_with(score, given), given.keys)))
    functions = name_functions(score, harmonies, given.functions)
    textures = find_textures(score, harmonies, functions, given.textures)
    lines = find_lines(score, harmonies, functions, textures, given.lines)
    melody = {note for name, chain in lines if name == "melody" for note in chain}
    phrases = find_phrases(score, harmonies, functions, melody, given.phrases)
    depths = rank_depths(score, harmonies, functions, lines)
    notes = _placed(functions, lines, depths)
    tension = measure_tension(score, harmonies, notes)
    counterpoint = find_counterpoint(score, given.textures)
    forms = find_forms(score, phrases, melody_line(score, melody)) if counterpoint is None else ()
    analysis = Analysis(harmonies, notes, textures, tension, phrases, lines, counterpoint, forms=forms)
    return replace(analysis, passages=find_passages(score, analysis))


def _placed(
    readings: Mapping[str, NoteReading],
    lines: Sequence[tuple[LineName, tuple[str, ...]]],
    depths: Mapping[str, float],
) -> dict[str, NoteReading]:
    """The readings with the line that each note belongs to and its depth in it."""
    line_of = {note: name for name, chain in lines for note in chain}
    return {
        note: NoteReading(r.function, r.resolves_to, line_of.get(note), depths[note], r.held_as, r.reasons)
        for note, r in readings.items()
    }
