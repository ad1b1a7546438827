"""Figures struck at once as chords, by the harmony or by the position of the hand."""

from __future__ import annotations

from sitegen.reduction.blocks import blocks_by_position, one_chord_a_harmony, struck
from sitegen.reduction.lines import sing, without_ornaments
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import join, technique
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.melodies import complete_melody


@technique(
    "harmonic rhythm",
    teacher="One chord for each harmony in its full length, without the melody.",
    pupil="The chords alone, each held as long as it lasts: feel when the harmony changes.",
    side_study=True,
)
def harmonic_rhythm(material: Material) -> list[StageNote]:
    """One chord for each harmony, held for its full length, in the hand and position where it lies."""
    return join(struck(one_chord_a_harmony(material)), bass_line(material))


@technique(
    "blocked chords",
    teacher="Each figure of the accompaniment is struck at once where it lies; the same chord again is held.",
    pupil="The broken chords as whole chords: find each hand position before you play its notes one by one.",
    side_study=True,
)
def blocked_chords(material: Material) -> list[StageNote]:
    """Each figure struck at once in its position."""
    return join(struck(blocks_by_position(material, material.span)), bass_line(material))


@technique(
    "melody over chords",
    teacher="The chord tones of the melody over one chord for each harmony.",
    pupil="The melody without its decorations, over one chord for each harmony.",
)
def melody_over_chords(material: Material) -> list[StageNote]:
    """The melody without ornaments over one chord for each harmony."""
    return join(sing(without_ornaments(material, material.line("melody"))), harmonic_rhythm(material))


@technique(
    "complete melody over chords",
    teacher="The melody as it is printed over one chord for each harmony.",
    pupil="The whole melody, over one chord for each harmony.",
)
def complete_melody_over_chords(material: Material) -> list[StageNote]:
    """Every note of the melody over one chord for each harmony."""
    return join(complete_melody(material), harmonic_rhythm(material))


@technique(
    "complete melody over blocked chords",
    teacher="The melody as it is printed over the accompaniment in blocked chords.",
    pupil="The whole melody, with the accompaniment in whole chords.",
)
def complete_melody_over_blocked_chords(material: Material) -> list[StageNote]:
    """Every note of the melody over the figures struck at once."""
    return join(complete_melody(material), blocked_chords(material))
