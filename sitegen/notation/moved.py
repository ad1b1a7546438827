"""The signs of notes that a stage has moved: ``m.d.`` and ``m.s.`` where the right or the left hand takes what the
score gives to the other; small print where a note lies in another octave, as an editor prints notes of his own.

The hand is said once for bars that follow each other, and again only after a bar without (Gould, *Behind Bars*, 2011,
"Keyboard").
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sitegen.notation.directions import italic
from sitegen.notation.written import Direction
from sitegen.reduction import StageNote
from sitegen.score import Hand, Score

TAKES: Mapping[Hand, str] = {"right": "m.d.", "left": "m.s."}


@dataclass(frozen=True, slots=True)
class HandSign:
    """What stands over or under a staff at ``onset``."""

    staff: int
    onset: int
    text: str


def hand_signs(score: Score, notes: Sequence[StageNote]) -> list[HandSign]:
    """Where it is to be said that a hand takes a note from the other. ``notes`` are in order of onset."""
    hands = {note.id: score.hand_of(note.staff) for note in score.notes}
    last: dict[int, int] = {}
    found: list[HandSign] = []
    for note in notes:
        hand = score.hand_of(note.staff)
        if not note.moved or hand is None or hands[note.sources[0]] in (hand, None):
            continue
        bar = score.bar_at(note.onset).index
        if bar - last.get(note.staff, -2) > 1:
            found.append(HandSign(note.staff, note.onset, TAKES[hand]))
        last[note.staff] = bar
    return found


def octave_moved(score: Score, notes: Sequence[StageNote]) -> frozenset[str]:
    """The ids of the notes of a stage that lie in another octave than their note of the score."""
    heads = {note.id: note.midi for note in score.notes}
    return frozenset(note.id for note in notes if note.moved and heads[note.sources[0]] != note.midi)


def direction(sign: HandSign, hand: Hand | None, staff: int) -> Direction:
    """The words, between the staves: below those of the right hand and above those of the left."""
    return Direction(italic(sign.text), staff, "below" if hand == "right" else "above")
