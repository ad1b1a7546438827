"""The voices of a contrapuntal piece, alone and in pairs, and all of them without ornaments.

Voices are those of the score, from high to low by their mean pitch; one with less than a twentieth of the notes
belongs to no line of its own and is left to the stage as written.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sitegen.reduction.lines import sing, without_ornaments
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import join, technique
from sitegen.reduction.striking import as_is
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.melodies import complete_melody, simple_tune_alone
from sitegen.score import Note


def voices(material: Material) -> list[list[Note]]:
    """The voices from high to low, each in order of onset."""
    found: dict[int, list[Note]] = {}
    for note in material.sounding:
        found.setdefault(note.voice, []).append(note)
    real = [notes for notes in found.values() if 20 * len(notes) >= len(material.sounding)]
    return sorted(real, key=lambda notes: -sum(n.midi for n in notes) / len(notes))


def _alone(choose: Callable[[list[list[Note]]], Sequence[list[Note]]], material: Material) -> list[StageNote]:
    chosen = {note.id for voice in choose(voices(material)) for note in voice}
    places = {(n.onset, n.staff, n.voice) for n in material.sounding if n.id in chosen}
    return [
        as_is(note)
        for note in material.printed
        if note.id in chosen or (note.grace and (note.onset, note.staff, note.voice) in places)
    ]


@technique("highest voice alone", "The highest voice as written.", "The highest voice by itself.", side_study=True)
def highest_voice_alone(material: Material) -> list[StageNote]:
    """The highest voice as written."""
    return _alone(lambda v: v[:1], material)


@technique("second voice alone", "The second voice as written.", "The second voice by itself.", side_study=True)
def second_voice_alone(material: Material) -> list[StageNote]:
    """The second voice from the top, where there are three or more."""
    return _alone(lambda v: v[1:2] if len(v) > 2 else [], material)


@technique("third voice alone", "The third voice as written.", "The third voice by itself.", side_study=True)
def third_voice_alone(material: Material) -> list[StageNote]:
    """The third voice from the top, where there are four or more."""
    return _alone(lambda v: v[2:3] if len(v) > 3 else [], material)


@technique("lowest voice alone", "The lowest voice as written.", "The lowest voice by itself.", side_study=True)
def lowest_voice_alone(material: Material) -> list[StageNote]:
    """The lowest voice as written."""
    return _alone(lambda v: v[-1:] if len(v) > 1 else [], material)


@technique("two highest voices", "The two highest voices as written.", "The two highest voices.", side_study=True)
def two_highest_voices(material: Material) -> list[StageNote]:
    """The two highest voices, where there are three or more."""
    return _alone(lambda v: v[:2] if len(v) > 2 else [], material)


@technique("two lowest voices", "The two lowest voices as written.", "The two lowest voices.", side_study=True)
def two_lowest_voices(material: Material) -> list[StageNote]:
    """The two lowest voices, where there are three or more."""
    return _alone(lambda v: v[-2:] if len(v) > 2 else [], material)


@technique(
    "melody and lowest voice",
    teacher="The melody and the lowest voice, both with all their notes.",
    pupil="The highest and the lowest voice, complete.",
)
def melody_and_lowest_voice(material: Material) -> list[StageNote]:
    """The complete melody with the whole lowest voice."""
    found = voices(material)
    lowest = [as_is(note) for note in found[-1]] if len(found) > 1 else []
    return join(complete_melody(material), lowest, bass_line(material))


@technique(
    "voices without ornaments",
    teacher="All voices, each without the notes that decorate it.",
    pupil="All voices in their main notes.",
)
def voices_without_ornaments(material: Material) -> list[StageNote]:
    """The chord tones of every voice, each with the time of the notes that decorate it."""
    lines = [sing(without_ornaments(material, voice)) for voice in voices(material)]
    return join(simple_tune_alone(material), bass_line(material), *lines)


@technique(
    "outer voices complete",
    teacher="Melody and lowest voice complete, the voices between them without ornaments.",
    pupil="The outer voices with all their notes, the inner ones in their main notes.",
)
def outer_voices_complete(material: Material) -> list[StageNote]:
    """The melody and the lowest voice as written, the others without the notes that decorate them."""
    return join(melody_and_lowest_voice(material), voices_without_ornaments(material))
