"""One hand by itself: as written, or of another stage (see ``alone``)."""

from __future__ import annotations

from collections.abc import Iterable

from sitegen.reduction.material import Material
from sitegen.reduction.notes import as_is
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import chords
from sitegen.reduction.remarks.groups import BASS
from sitegen.reduction.techniques.registry import technique
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Hand


@technique(
    "right hand alone",
    "The right hand as written.",
    "The right hand by itself.",
    side_study=True,
    on=(
        Rung(ladder="melody", after="inner line with the melody", side=True),
        Rung(ladder="figuration", after="inner line alone", side=True),
    ),
)
def right_hand_alone(material: Material) -> list[StageNote]:
    """Every note of the voices of the right hand."""
    return _hand(material, "right")


@technique(
    "left hand alone",
    "The left hand as written.",
    "The left hand by itself.",
    side_study=True,
    listen=(chords.stretch, chords.travels, *BASS),
    on=(
        Rung(ladder="melody", after="right hand alone", side=True),
        Rung(ladder="figuration", after="right hand alone", side=True),
    ),
)
def left_hand_alone(material: Material) -> list[StageNote]:
    """Every note of the voices of the left hand."""
    return _hand(material, "left")


HANDS_ALONE: dict[str, Hand] = {"right hand alone": "right", "left hand alone": "left"}


def alone(notes: Iterable[StageNote], hand: Hand) -> list[StageNote]:
    """What ``hand`` plays of a stage: also what it takes from the other hand, not what that takes from it."""
    return [note for note in notes if note.hand == hand]


def _hand(material: Material, hand: Hand) -> list[StageNote]:
    """What a hand plays, whatever staff it reads: a voice that goes over to the other staff stays in its hand."""
    return [as_is(note) for note in material.printed if material.score.hand_of(note.home_staff) == hand]
