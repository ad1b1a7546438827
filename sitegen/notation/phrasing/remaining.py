"""What a stage leaves of a score: which of its notes are there, what stands for the others, what is struck when."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TypeVar

from sitegen.reduction import StageNote
from sitegen.score import Note, Score, Sign

N = TypeVar("N", Note, StageNote)
NoteOrder = tuple[int, bool, int]
Strikes = dict[int, list[int]]


class Remaining:
    """A score beside the notes of one of its stages.

    ``standing`` gives for the id of a note of the score the note of the stage that is it; ``heirs`` the one that is it
    or took over its time.
    """

    def __init__(self, score: Score, stage: Sequence[StageNote]) -> None:
        self.score = score
        self.stage = stage
        self.notes: dict[str, Note] = {note.id: note for note in score.notes}
        self.standing: dict[str, StageNote] = {}
        self.heirs: dict[str, StageNote] = {}
        for note in stage:
            first = note.sources[0]
            before = self.standing.get(first)
            if before is None or before.midi != self.notes[first].midi:
                self.standing[first] = note
        keys = {(note.onset, note.midi, note.grace): note for note in stage}
        for written in score.notes:
            # of a unison one key is struck: the note that is left is the other one too
            unison = keys.get((written.onset, written.midi, written.grace))
            if unison is not None and written.id not in self.standing:
                self.standing[written.id] = unison
        self.heirs.update(self.standing)
        for note in stage:
            for source in note.sources:
                self.heirs.setdefault(source, note)
        self.of_voice: dict[int, list[Note]] = defaultdict(list)
        self.of_staff: dict[int, list[StageNote]] = defaultdict(list)
        self.of_chord: dict[str, list[Note]] = defaultdict(list)
        self.places = {note.id: place for place, note in enumerate(score.notes)}
        for written in score.notes:
            self.of_voice[written.voice].append(written)
            self.of_chord[written.chord].append(written)
        for note in sorted(stage, key=lambda n: n.onset):
            self.of_staff[note.staff].append(note)
        self._onsets = {staff: [n.onset for n in found] for staff, found in self.of_staff.items()}
        self._longest = {staff: max(n.duration for n in found) for staff, found in self.of_staff.items()}
        self._written = sorted(score.sounding(), key=lambda n: n.onset)
        self._longest_written = max((n.duration for n in self._written), default=0)
        self.written_strikes = _strikes((n.staff, n.onset) for n in score.notes)
        self.strikes = _strikes((n.staff, n.onset) for n in stage)

    def kept(self, note: Note) -> StageNote | None:
        """The note of the stage that is ``note``, struck where the score strikes it."""
        found = self.standing.get(note.id)
        return found if found is not None and found.onset == note.onset else None

    def chord(self, note: Note) -> list[Note]:
        """The notes of the score that stand on one stem with ``note``."""
        return self.of_chord[note.chord] if note.chord else [note]

    def order(self, note: StageNote) -> NoteOrder:
        """What sorts notes by when they are struck: graces one after the other, then what they lead to."""
        return note.onset, not note.grace, self.places[note.sources[0]] if note.grace else 0

    def struck(self, staves: Iterable[int], start: int, end: int) -> list[int]:
        """The ticks from ``start`` up to but not at ``end`` at which the stage strikes notes on ``staves``."""
        return _between(self.strikes, staves, start, end)

    def struck_in_score(self, staves: Iterable[int], start: int, end: int) -> list[int]:
        """The same of the score."""
        return _between(self.written_strikes, staves, start, end)

    def sounding(self, staff: int, start: int, end: int) -> list[StageNote]:
        """The notes of the stage on ``staff`` that sound somewhere from ``start`` up to ``end``."""
        onsets = self._onsets.get(staff, [])
        if not onsets:
            return []
        first, last = bisect_right(onsets, start - self._longest[staff]), bisect_left(onsets, end)
        return [n for n in self.of_staff[staff][first:last] if n.end > start]

    def held_in_score(self, tick: int) -> list[Note]:
        """The notes of the score that sound at ``tick``."""
        return [n for n in between(self._written, tick - self._longest_written, tick + 1) if tick < n.end]

    def struck_after(self, tick: int, until: int) -> Sequence[Note]:
        """The notes of the score that are struck after ``tick`` and before ``until``."""
        return between(self._written, tick + 1, until)

    def beat(self, tick: int) -> int:
        """How long the felt beat is there, in ticks."""
        return self.score.ticks(self.score.bar_at(tick).metre.beat_quarters)

    def end_of_beat(self, tick: int) -> int:
        """Where the felt beat that holds ``tick`` ends, or its bar does."""
        bar, beat = self.score.bar_at(tick), self.beat(tick)
        place = self.score.place_in_metre(tick)
        return min(bar.end, tick + beat - place % beat)

    def staves(self, sign: Sign) -> tuple[int, ...]:
        """The staves that a sign speaks to: its own, and where it stands between the two of a pianist both."""
        return self.score.spoken_to(sign)

    def home(self, sign: Sign, start: int, end: int) -> int | None:
        """The staff at which a sign is printed: its own if the stage has notes there between ``start`` and ``end``,
        else the other one that it speaks to; None where both are silent."""
        return next((staff for staff in self.staves(sign) if self.sounding(staff, start, end)), None)


def between(notes: Sequence[N], start: int, end: int) -> Sequence[N]:
    """Of notes in order of onset those that are struck from ``start`` up to but not at ``end``."""
    first, last = (bisect_left(notes, tick, key=lambda note: note.onset) for tick in (start, end))
    return notes[first:last]


def _strikes(places: Iterable[tuple[int, int]]) -> Strikes:
    found: Strikes = defaultdict(list)
    for staff, onset in sorted(set(places)):
        found[staff].append(onset)
    return found


def _between(strikes: Strikes, staves: Iterable[int], start: int, end: int) -> list[int]:
    found: set[int] = set()
    for staff in staves:
        onsets = strikes.get(staff, [])
        found.update(onsets[bisect_left(onsets, start) : bisect_right(onsets, end - 1)])
    return sorted(found)
