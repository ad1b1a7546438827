"""The bass line: what everything else stands on."""

from __future__ import annotations

from dataclasses import replace

from sitegen.reduction.figures import find_basses
from sitegen.reduction.material import Material
from sitegen.reduction.notes import hold
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks.groups import BASS
from sitegen.reduction.techniques.registry import technique
from sitegen.reduction.techniques.rungs import Rung


@technique(
    "bass line",
    teacher="What sounds lowest on the beat: the bass of each harmony, held until the next.",
    pupil="Only the lowest notes: the ground that the piece stands on.",
    listen=BASS,
    on=(
        Rung(ladder="melody"),
        Rung(ladder="figuration"),
        Rung(ladder="counterpoint"),
    ),
)
def bass_line(material: Material) -> list[StageNote]:
    """What sounds lowest on the beat, held until the next bass or until its hand falls silent. The left hand has it in
    its own staff, also where it is printed in that of the tune."""
    notes = [hold(bass.note, bass.members, bass.onset, bass.end) for bass in find_basses(material)]
    left = next((staff.number for staff in material.score.staves if staff.hand == "left"), None)
    return [
        replace(note, staff=left, voice=0, moved=True) if left and _is_the_left_hand_s(material, note) else note
        for note in notes
    ]


def _is_the_left_hand_s(material: Material, bass: StageNote) -> bool:
    """Whether the left hand takes a bass from the staff of the right: in counterpoint, where it is a line of its own
    and has a hand of its own; where its voice is one of the left hand; and where the tune in that staff lies further
    above it than a hand reaches."""
    score, note = material.score, material.by_id[bass.sources[0]]
    if score.hand_of(bass.staff) != "right":
        return False
    if material.analysis.counterpoint or score.hand_of(note.home_staff) == "left":
        return True
    sung = material.sung_between(bass.staff, bass.onset, max(bass.end, score.bar_at(bass.onset).end))
    return bool(sung) and sung[0].midi - bass.midi > material.span
