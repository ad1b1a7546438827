"""How far a hand is asked to reach: by the score, by a stage.

A hand is asked for the distance in semitones between the lowest and the highest note that sound in it at once.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter, itemgetter

from sitegen.reduction.nouns import HandReport, StageNote, WideStretch
from sitegen.score import Hand, Note, Score, starting_tempo

ROLL_SECONDS = 0.5
HANDS: tuple[Hand, Hand] = ("right", "left")
OTHER: dict[Hand, Hand] = {"right": "left", "left": "right"}


@dataclass(frozen=True, slots=True)
class Keyboard:
    """The hands that a ladder is made for: their ``span``, and the notes of the score by their ids.

    ``essential`` are the ids of the notes that are never left out; ``roll_ticks`` is the shortest chord to be rolled.
    """

    score: Score
    span: int
    essential: frozenset[str]
    roll_ticks: int
    by_id: Mapping[str, Note]

    def own(self, note: StageNote) -> list[Note]:
        """The sources of a note that have its pitch: what it keeps of the score."""
        sources = (self.by_id[source] for source in note.sources)
        return [source for source in sources if source.midi == note.midi]

    def asks(self, low: StageNote, high: StageNote) -> bool:
        """Whether the score itself has one hand hold these two pitches at once, in the notes that they stand for."""
        return any(
            one.onset < other.end and other.onset < one.end
            for one in self.own(low)
            for other in self.own(high)
            if self.score.hand_of(one.staff) == self.score.hand_of(other.staff)
        )

    def strikes_below(self, hand: Hand, onset: int, midi: int) -> bool:
        """Whether the score strikes, at ``onset`` in this hand, a lower note than ``midi``."""
        notes = self.score.notes
        place = bisect_left(notes, onset, key=attrgetter("onset"))
        struck = notes[place : bisect_right(notes, onset, place, key=attrgetter("onset"))]
        return any(n.midi < midi and not n.grace and self.score.hand_of(n.staff) == hand for n in struck)

    def staff_of(self, hand: Hand) -> int | None:
        """The staff of ``hand`` that lies next to the other hand."""
        staves = [staff.number for staff in self.score.staves if staff.hand == hand]
        if not staves:
            return None
        return max(staves) if hand == "right" else min(staves)


def keyboard(score: Score, span: int, essential: Iterable[str]) -> Keyboard:
    """The hands for ``score``. Pure."""
    roll = round(ROLL_SECONDS * starting_tempo(score) / 60 * score.ticks_per_quarter)
    return Keyboard(score, span, frozenset(essential), roll, {note.id: note for note in score.notes})


def staves_of(score: Score, hand: Hand) -> frozenset[int]:
    """The staves that a hand plays."""
    return frozenset(staff.number for staff in score.staves if staff.hand == hand)


def widths_of(notes: Iterable[tuple[int, int, int]]) -> Iterator[tuple[int, int]]:
    """For notes of one hand as (onset, end, midi), sorted by onset: each onset, and how wide it is then spread."""
    yield 0, 0
    held: list[tuple[int, int, int]] = []
    for onset, struck in groupby(notes, key=itemgetter(0)):
        held = [note for note in held if note[1] > onset]
        held += struck
        midis = [midi for _, _, midi in held]
        yield onset, max(midis) - min(midis)


def report(
    keys: Keyboard, notes: Sequence[StageNote], remedied: Mapping[Hand, Sequence[WideStretch]] | None = None
) -> tuple[HandReport, ...]:
    """The widest stretch of each hand, and its places wider than the span: those remedied, the rest as written."""
    found = []
    for hand in HANDS:
        places = {place.onset: place for place in (remedied or {}).get(hand, ())}
        staves = staves_of(keys.score, hand)
        mine = ((n.onset, n.end, n.midi) for n in notes if not n.grace and n.staff in staves)
        widest, before = 0, False
        for onset, width in widths_of(mine):
            widest = max(widest, width)
            # a wide chord that is held under a moving line is one place, not one for each note of the line
            if width > keys.span and not before:
                places.setdefault(onset, WideStretch(onset, width, "as written"))
            before = width > keys.span
        found.append(HandReport(hand, widest, tuple(places[onset] for onset in sorted(places))))
    return tuple(found)
