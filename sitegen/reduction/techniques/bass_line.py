"""The bass line: what everything else stands on."""

from __future__ import annotations

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
    return [hold(bass.note, bass.members, bass.onset, bass.end) for bass in find_basses(material)]
