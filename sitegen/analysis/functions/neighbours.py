"""What surrounds a note in its line: the note before and after, and what sounds below.

The neighbours of a note are those of its voice, the nearest in pitch where they are chords. Where figuration hides the
lines (``C3 G3 E3 G3 B2 G3 D3 G3``) the line is the nearest pitch within a step in the same hand, within a bar.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import pairwise

from sitegen.analysis.functions.table import LEAP_DOWN, LEAP_UP, NONE, SAME, STEP_DOWN, STEP_UP
from sitegen.score import Note, Score

_REACH = 16
"""How many notes of a hand a hidden line is sought through, so that time stays in proportion to length."""


def move(before: Note | None, after: Note | None) -> str:
    """How a line goes from one note to the next: a step is a semitone or tone, or a second as spelled."""
    if before is None or after is None:
        return NONE
    semitones = after.midi - before.midi
    if semitones == 0:
        return SAME
    size = abs(semitones)
    step = size <= 2 or (size == 3 and abs(after.pitch.diatonic - before.pitch.diatonic) == 1)
    if semitones > 0:
        return STEP_UP if step else LEAP_UP
    return STEP_DOWN if step else LEAP_DOWN


@dataclass(frozen=True, slots=True)
class Surroundings:
    """A foreign note as the definitions see it."""

    note: Note
    before: Note | None
    after: Note | None
    approach: str
    departure: str
    accented: bool


def turn_of(seen: Surroundings) -> str:
    """How the line turns at the note: ``back`` to where it came from, ``onward`` in its direction, or ``opposite``."""
    if seen.before is not None and seen.after is not None and seen.before.midi == seen.after.midi:
        return "back"
    same = seen.approach.split()[-1] == seen.departure.split()[-1]
    return "onward" if same else "opposite"


class Lines:
    """The lines of a score, found once; every question about a note is answered in constant time."""

    def __init__(self, score: Score) -> None:
        self._score = score
        sounding = tuple(score.sounding())
        self._before, self._after = _voice_neighbours(score, sounding)
        self._bass = _lowest(sounding)
        self._hands: dict[object, list[Note]] = defaultdict(list)
        for note in sounding:
            self._hands[score.hand_of(note.staff) or note.staff].append(note)
        self._onsets = {hand: [note.onset for note in line] for hand, line in self._hands.items()}

    def before(self, note: Note) -> Note | None:
        """The note before in the same voice; None after more than a beat of rest."""
        return self._before.get(note.id)

    def after(self, note: Note) -> Note | None:
        """The note after in the same voice; None before more than a beat of rest."""
        return self._after.get(note.id)

    def hidden_before(self, note: Note) -> Note | None:
        """The last note of the hand, within a bar, from which ``note`` is at most a step away."""
        hand, line = self._hand(note)
        first = bisect_left(self._onsets[hand], note.onset) - 1
        reach = note.onset - self._score.bars[note.bar].length
        for other in line[max(0, first - _REACH + 1) : first + 1][::-1]:
            if other.onset < reach:
                break
            if move(other, note) in (SAME, STEP_UP, STEP_DOWN):
                return other
        return None

    def hidden_after(self, note: Note) -> Note | None:
        """The next note of the hand, within a bar, that is at most a step away."""
        hand, line = self._hand(note)
        first = bisect_right(self._onsets[hand], note.onset)
        reach = note.onset + self._score.bars[note.bar].length
        for other in line[first : first + _REACH]:
            if other.onset > reach:
                break
            if move(note, other) in (SAME, STEP_UP, STEP_DOWN):
                return other
        return None

    def is_bass(self, note: Note) -> bool:
        """Whether nothing sounds below the note when it begins."""
        return note.id in self._bass

    def _hand(self, note: Note) -> tuple[object, list[Note]]:
        hand = self._score.hand_of(note.staff) or note.staff
        return hand, self._hands[hand]


def _voice_neighbours(score: Score, sounding: Sequence[Note]) -> tuple[dict[str, Note], dict[str, Note]]:
    before: dict[str, Note] = {}
    after: dict[str, Note] = {}
    chords: dict[int, list[list[Note]]] = defaultdict(list)
    for note in sounding:
        line = chords[note.voice]
        if line and line[-1][0].onset == note.onset:
            line[-1].append(note)
        else:
            line.append([note])
    for line in chords.values():
        for first, second in pairwise(line):
            rest = second[0].onset - max(note.end for note in first)
            if rest > 0 and rest > score.bars[second[0].bar].metre.beat_quarters * score.ticks_per_quarter:
                continue
            for note in first:
                after[note.id] = _nearest(note, second)
            for note in second:
                before[note.id] = _nearest(note, first)
    return before, after


def _nearest(note: Note, chord: list[Note]) -> Note:
    return min(chord, key=lambda other: (abs(other.midi - note.midi), other.midi))


def _lowest(sounding: Sequence[Note]) -> frozenset[str]:
    found: set[str] = set()
    heap: list[tuple[int, int]] = []
    for note in sounding:
        heappush(heap, (note.midi, note.end))
        while heap[0][1] <= note.onset:
            heappop(heap)
        if heap[0][0] == note.midi:
            found.add(note.id)
    return frozenset(found)
