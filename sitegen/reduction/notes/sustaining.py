"""Notes that are printed large in a small figure sound on through it: each until the next, as the editor of the score
means them to be heard."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote


def sustained(material: Material, notes: Sequence[StageNote]) -> list[StageNote]:
    """``notes`` of a melody, in order, with the prominent ones held until the next or until the figure ends."""
    if not material.prominent:
        return list(notes)
    found = list(notes)
    following: dict[int, int] = {}
    for place in reversed(range(len(found))):
        note = found[place]
        if note.grace:
            continue
        if note.sources[0] in material.prominent:
            found[place] = _held(material, note, following.get(note.staff, material.score.end))
        following[note.staff] = note.onset
    return found


def _held(material: Material, note: StageNote, until: int) -> StageNote:
    end, cover = note.end, ""
    figure = material.of_staff(note.staff)
    for other in figure[bisect_left(figure, note.onset, key=lambda n: n.onset) :]:
        if other.onset > end or other.onset >= until:
            break
        if other.end > end:
            end, cover = other.end, other.id
    end = min(end, until)
    if end <= note.end:
        return note
    return replace(note.standing_for([cover]), duration=end - note.onset)
