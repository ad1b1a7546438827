"""The rules of what stays, sign by sign.

A sign stays where what it belongs to stays. The pupil then meets in every stage the phrasing that the whole piece
will ask for, and nothing that the notes in front of her contradict. Ornaments and rolled chords belong to the notes of
a stage from the start, tempo marks to the piece.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from sitegen.notation.phrasing import marks, octaves, places, spanning
from sitegen.notation.phrasing.nouns import NoteMark, Phrasing
from sitegen.notation.phrasing.remaining import Remaining
from sitegen.reduction import StageNote
from sitegen.score import Score, Sign, Slur


@dataclass(frozen=True, slots=True)
class Rule:
    """One sign: what it belongs to, when it stays and where it then stands (``carry``), and why."""

    sign: str
    belongs_to: str
    stays: str
    carry: Callable[[Remaining], Iterator[Sign | Slur | NoteMark]]
    reason: str


RULES: tuple[Rule, ...] = (
    Rule("slur", "the notes under it", "from the first to the last note or chord left, in one hand, if two are",
         spanning.slurs, "it joins notes into one breath: a breath needs two of them"),
    Rule("dynamic", "the note struck there, and what follows", "there, or at the next note of the beat; a level waits",
         places.dynamics, "loudness is heard where a note is struck and holds until it is said anew"),
    Rule("words", "the place", "there, or at the next note of the beat; beside its note, if about one",
         places.words, "they tell how to play on from here"),
    Rule("hairpin", "its stretch", "if two notes are struck in it, or all that the score strikes",
         spanning.hairpins, "a struck note of a piano cannot swell: a second one must be louder"),
    Rule("articulation", "a note", "if struck where it was; shortness not if held longer than written and than a beat",
         marks.articulations, "a note that fills a short rest is still let go; one held through beats is not short"),
    Rule("fermata", "a moment of all hands", "at its note, at the one that has its time, or at what sounds then",
         marks.fermatas, "time stops for everybody"),
    Rule("fingering", "the hand's position", "if the hand strikes there, before and after what it did",
         marks.fingerings, "a finger is right only for the notes around it"),
    Rule("pedal", "the bass it holds", "if that bass is left",
         spanning.pedals, "it is put down for the bass that the hand leaves"),
    Rule("octave", "the notes under it", "from the first to the last left, but for what would lie beyond them under it",
         octaves.octave_signs, "it saves ledger lines for all that stands under it"),
)  # fmt: skip


def carry_signs(score: Score, notes: Sequence[StageNote]) -> Phrasing:
    """The signs of ``score`` that stay in a stage of these ``notes``, in the order of the table."""
    remaining = Remaining(score, notes)
    found = [sign for rule in RULES for sign in rule.carry(remaining)]
    return Phrasing(
        tuple(s for s in found if isinstance(s, Slur)),
        tuple(dict.fromkeys(s for s in found if isinstance(s, Sign))),
        tuple(dict.fromkeys(s for s in found if isinstance(s, NoteMark))),
    )
