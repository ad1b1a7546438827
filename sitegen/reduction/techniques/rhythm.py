"""The rhythm without the tune."""

from __future__ import annotations

from itertools import groupby, pairwise

from sitegen.reduction.material import HarmonyGroup, Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import returns
from sitegen.reduction.techniques.registry import technique
from sitegen.score import Note


@technique(
    "rhythm on one pitch",
    teacher="Each hand's rhythm kept on one pitch for each harmony.",
    pupil="Only the rhythm: each hand stays on one key until the harmony changes.",
    side_study=True,
    listen=(returns.busiest,),
)
def rhythm_on_one_pitch(material: Material) -> list[StageNote]:
    """Every onset of each hand on one pitch a harmony: the left hand's bass, the right hand's first note."""
    return [note for group in material.groups for note in _on_one_pitch(material, group)]


def _on_one_pitch(material: Material, group: HarmonyGroup) -> list[StageNote]:
    left = material.score.hand_of(group.staff) == "left"
    head = min(group.notes, key=lambda n: n.midi) if left else group.notes[0]
    strokes: list[Note] = []
    for _, chord in groupby(group.notes, key=lambda n: n.onset):
        strokes.append(max(chord, key=lambda n: n.duration))
    ends = [min(one.end, other.onset) for one, other in pairwise(strokes)] + [min(strokes[-1].end, group.until)]
    return [
        StageNote(
            "", stroke.onset, end - stroke.onset, head.pitch, group.staff, tuple(dict.fromkeys((head.id, stroke.id)))
        )
        for stroke, end in zip(strokes, ends, strict=True)
        if end > stroke.onset
    ]
