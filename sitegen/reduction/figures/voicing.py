"""A figure that is wider than the hand, voiced as a chord that the hand can strike: no tone is doubled out of reach.

Every tone stays once, where it lies nearest to the note that the hand cannot give up (the bass, or the top of the right
hand's chord). What the score itself holds together with that note stays.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.score import Note


def width(notes: Sequence[Note]) -> int:
    """Semitones from the lowest to the highest; 0 for none."""
    midis = [note.midi for note in notes]
    return max(midis) - min(midis) if midis else 0


def voiced(heads: Sequence[Note], anchors: Sequence[Note], span: int) -> tuple[Note, ...]:
    """Of ``heads`` (from low to high) those that are struck: all that lie within ``span`` semitones of every anchor,
    and of each other tone the nearest; where that leaves none, all of which double the anchors, the nearest.
    ``anchors`` are what the hand cannot give up."""
    if width([*heads, *anchors]) <= span:
        return tuple(heads)

    def near(note: Note) -> bool:
        return all(
            abs(note.midi - anchor.midi) <= span or (note.onset < anchor.end and anchor.onset < note.end)
            for anchor in anchors
        )

    kept = {note.id for note in heads if near(note)}
    sounding = {note.pitch.pitch_class for note in (*heads, *anchors) if note.id in kept or note in anchors}
    for note in sorted(heads, key=lambda n: (abs(n.midi - anchors[0].midi), n.midi)):
        if note.pitch.pitch_class not in sounding or not kept:
            sounding.add(note.pitch.pitch_class)
            kept.add(note.id)
    return tuple(note for note in heads if note.id in kept)
