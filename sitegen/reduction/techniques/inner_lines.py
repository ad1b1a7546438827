"""What lies between melody and bass, and the music without its ground."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby, pairwise

from sitegen.reduction.basses import find_basses
from sitegen.reduction.blocks import find_blocks
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import join, technique
from sitegen.reduction.roles import FIGURES
from sitegen.reduction.striking import as_is, hold, strike
from sitegen.reduction.techniques.melodies import complete_melody


@technique(
    "inner line alone",
    teacher="The line between melody and bass, by itself.",
    pupil="The line in the middle, which is easily missed: sing it.",
    side_study=True,
)
def inner_line_alone(material: Material) -> list[StageNote]:
    """The inner line of the analysis; where it finds none, the top notes of the left hand's figures.

    A line inside a figure is held from note to note, as it is heard, and is not doubled in the other hand.
    """
    written = [n for n in material.sounding if material.reading(n).line == "inner"]
    if written:
        figured = {n.id for n in written if material.texture(n.staff, n.onset) in FIGURES}
        return [as_is(n) for n in written if n.id not in figured] + _heard(material, figured)
    return _tops(material)


def _heard(material: Material, line: Collection[str]) -> list[StageNote]:
    """The notes of ``line``, which stand in figures: one a pitch and harmony, each held until the next."""
    heard: list[StageNote] = []
    sounding: dict[int, set[int]] = {}
    for group in sorted(material.groups, key=lambda g: (g.harmony, g.staff)):
        mine = [n for n in group.notes if n.id in line]
        classes = sounding.setdefault(group.harmony, set())
        if not mine or any(n.pitch.pitch_class in classes for n in mine):
            continue
        classes.update(n.pitch.pitch_class for n in mine)
        heads = [next(same) for _, same in groupby(mine, key=lambda n: n.midi)]
        starts = [group.onset, *(head.onset for head in heads[1:]), group.end]
        heard += [strike(h, group.notes, a, b) for h, (a, b) in zip(heads, pairwise(starts), strict=True) if a < b]
    return heard


def _tops(material: Material) -> list[StageNote]:
    lowest = {bass.note.id for bass in find_basses(material)}
    return [
        hold(block.heads[-1], block.members, block.onset, block.end)
        for block in find_blocks(material)
        if material.score.hand_of(block.staff) == "left" and block.heads[-1].id not in lowest
    ]


@technique(
    "inner line with the melody",
    teacher="Melody and inner line, without the bass.",
    pupil="The melody with the line in the middle: two voices without the ground below them.",
    side_study=True,
)
def inner_line_with_the_melody(material: Material) -> list[StageNote]:
    """The complete melody with the inner line."""
    inner = inner_line_alone(material)
    return join(complete_melody(material), inner) if inner else []


@technique(
    "without the bass",
    teacher="As written without the bass notes.",
    pupil="Everything but the bass: hear what is missing.",
    side_study=True,
)
def without_the_bass(material: Material) -> list[StageNote]:
    """Every note of the score but those of the bass line."""
    basses = {note.id for note in material.sounding if material.reading(note).line == "bass"}
    basses |= {bass.note.id for bass in find_basses(material)}
    return [as_is(note) for note in material.printed if note.id not in basses]
