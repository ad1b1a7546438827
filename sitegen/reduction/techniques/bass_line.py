"""The bass line: what everything else stands on."""

from __future__ import annotations

from dataclasses import replace

from sitegen.reduction.basses import find_basses
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import technique
from sitegen.reduction.striking import hold


@technique(
    "bass line",
    teacher="What sounds lowest on the beat: the bass of each harmony, held until the next.",
    pupil="Only the lowest notes: the ground that the piece stands on.",
)
def bass_line(material: Material) -> list[StageNote]:
    """What sounds lowest on the beat, held until the next bass or until its hand falls silent."""
    notes = [hold(bass.note, bass.members, bass.onset, bass.end) for bass in find_basses(material)]
    return _in_the_left_hand(material, notes) if material.analysis.counterpoint else notes


def _in_the_left_hand(material: Material, notes: list[StageNote]) -> list[StageNote]:
    """In counterpoint the bass is a line of its own and has a hand of its own: the left takes it also from a voice that
    the score gives to the right."""
    score = material.score
    left = next((staff.number for staff in score.staves if staff.hand == "left"), None)
    return [
        replace(note, staff=left, voice=0, moved=True) if left and score.hand_of(note.staff) == "right" else note
        for note in notes
    ]
