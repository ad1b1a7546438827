"""Whether an analysis says what a teacher says."""

from __future__ import annotations

from sitegen.analysis.nouns import Analysis, harmonies_between
from sitegen.analysis.readings import Readings


def hold(analysis: Analysis, readings: Readings) -> bool:
    """Whether all ``readings`` hold in ``analysis``, each by itself.

    A chord without an end must hold where it begins; a key wherever a harmony is found. A function holds with its note,
    a line with all that is said of it (None: in no line).
    """
    harmonies, notes = analysis.harmonies, analysis.notes
    return (
        all(
            chord.name in (harmony.numeral, harmony.symbol)
            for chord in readings.chords
            for harmony in harmonies_between(
                harmonies, chord.onset, chord.onset + 1 if chord.end is None else chord.end
            )
        )
        and all(
            harmony.key == key.key
            for key in readings.keys
            for harmony in harmonies_between(harmonies, key.onset, key.end)
            if harmony.pitch_classes
        )
        and all(
            texture.kind == said.kind
            for said in readings.textures
            for texture in analysis.textures
            if texture.staff == said.staff and texture.onset < said.end and said.onset < texture.end
        )
        and all(_is_phrase(analysis, said.onset, said.end, said.cadence) for said in readings.phrases)
        and all(notes[note].function == function for note, function in readings.functions.items())
        and all(notes[note].line == line for note, line in readings.lines.items())
    )


def _is_phrase(analysis: Analysis, onset: int, end: int | None, cadence: str | None) -> bool:
    return any(
        phrase.onset == onset and end in (None, phrase.end) and cadence in (None, phrase.cadence)
        for phrase in analysis.phrases
    )
