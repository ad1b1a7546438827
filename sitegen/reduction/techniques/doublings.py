"""Octave doublings taken out."""

from __future__ import annotations

from sitegen.reduction.material import Material
from sitegen.reduction.notes import as_is
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import chords
from sitegen.reduction.remarks.groups import TUNE
from sitegen.reduction.techniques.registry import technique
from sitegen.score import Note


@technique(
    "doublings dropped",
    teacher="Notes that only double another of the same hand in the octave are left out; all else is as written.",
    pupil="The same music without octave doublings: every voice once.",
    listen=(chords.stretch, chords.travels, *TUNE),
)
def doublings_dropped(material: Material) -> list[StageNote]:
    """As written without octave doublings inside a hand: the left hand keeps the lowest note, the right the highest."""
    chords: dict[tuple[int, int], list[Note]] = {}
    for note in material.sounding:
        chords.setdefault((note.onset, note.staff), []).append(note)
    dropped: set[str] = set()
    for (_, staff), chord in chords.items():
        keep_low = material.score.hand_of(staff) == "left"
        seen: set[int] = set()
        for note in sorted(chord, key=lambda n: (n.midi if keep_low else -n.midi, n.id)):
            if note.pitch.pitch_class in seen:
                dropped.add(note.id)
            seen.add(note.pitch.pitch_class)
    return [as_is(note) for note in material.printed if note.id not in dropped]
