"""The bass line: what everything else stands on."""

from __future__ import annotations

from sitegen.reduction.basses import find_basses
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import technique
from sitegen.reduction.striking import strike


@technique(
    "bass line",
    teacher="The bass of each harmony, held until the next.",
    pupil="Only the lowest notes: the ground that the piece stands on.",
)
def bass_line(material: Material) -> list[StageNote]:
    """The bass of each harmony, held until the next one or until its hand falls silent."""
    return [strike(b.note, (b.note, *b.group.notes), b.group.onset, b.end) for b in find_basses(material)]
