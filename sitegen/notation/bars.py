"""One bar of one staff: its voices, their rests, and their notes with the ties where the metre divides them.

The id of a stage's note is the id of its first written note; the notes tied to it are called ``<id>.2``, ``<id>.3``,
leaving out what is the id of another note.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from sitegen.notation.beams import add_beams
from sitegen.notation.rests import intersect, rests_needed, silences, subtract
from sitegen.notation.tuplets import TupletFigures
from sitegen.notation.values import GRACE, GRACES, Value, pieces
from sitegen.notation.voices import Chord, Head, assign_voices
from sitegen.notation.written import Written, WrittenHead
from sitegen.score import Bar, Score


class BarWriter:
    """Holds what every bar needs: the ids and tuplet figures written so far. ``heads`` gives for the id of each note of
    the stage its written notes, in order, each with the chord that it stands in."""

    def __init__(self, score: Score, ids: frozenset[str]) -> None:
        self.quarter = score.ticks_per_quarter
        self.ids = ids
        self.heads: dict[str, list[tuple[Written, WrittenHead]]] = {}
        self.counts: dict[str, int] = {}
        self.figures = TupletFigures(self.quarter)

    def begin_staff(self) -> None:
        """Forget the tuplet figures of the staff before."""
        self.figures = TupletFigures(self.quarter)

    def voices(self, b: Bar, chords: Sequence[Chord]) -> list[list[Written]]:
        """The voices of a bar, the upper first, each filling it exactly."""
        voices = assign_voices(chords)
        if not any(not c.grace for voice in voices for c in voice):
            graces = [self._grace(c) for voice in voices for c in voice]
            return [_in_order([*graces, *self._empty_bar(b)])]
        silent = silences(chords, b.onset, b.end)
        found = []
        for number, voice in enumerate(voices):
            others = [c for other in voices if other is not voice for c in other]
            alone = subtract(rests_needed(voice, others, b.onset, b.end), silent)
            written = self._voice(b, voice, alone if number else sorted(silent + alone))
            timed = [w for w in written if not w.grace]
            self.figures.mark(timed, b)
            add_beams(timed, b, self.quarter)
            found.append(written)
        return found

    def _empty_bar(self, b: Bar) -> list[Written]:
        """A bar's rest; in a bar that is not as long as its metre, rests of just that length."""
        if b.length * b.metre.beat_type != 4 * b.metre.beats * self.quarter:
            return self._rests(b, b.onset, b.end, True)
        return [Written(b.onset, b.length, Value("whole", 0), [], whole_bar=True)]

    def _voice(self, b: Bar, voice: Sequence[Chord], visible: Sequence[tuple[int, int]]) -> list[Written]:
        own = silences(voice, b.onset, b.end)
        shown = intersect(own, visible)
        found: list[Written] = []
        for start, end in shown:
            found += self._rests(b, start, end, True)
        for start, end in subtract(own, shown):
            found += self._rests(b, start, end, False)
        for grace, run in groupby(voice, key=lambda c: c.grace):
            if grace:
                found += _joined([self._grace(c) for c in run])
                continue
            for c in run:
                self._pieces(b, c, found)
        return _in_order(found)

    def _pieces(self, b: Bar, c: Chord, found: list[Written]) -> None:
        before = b.onset - b.lead
        divided = pieces(c.onset - before, c.end - before, b.metre, self.quarter, False)
        last = len(divided) - 1
        for position, (place, length, value) in enumerate(divided):
            written = Written(before + place, length, value, [])
            for h in c.heads:
                self._head(written, h, h.tied_from or position > 0, h.tied_to or position < last)
            if not position:
                written.rolled = c.rolled and len(c.heads) > 1
                written.ornaments = c.ornaments
            found.append(written)

    def _rests(self, b: Bar, start: int, end: int, visible: bool) -> list[Written]:
        before = b.onset - b.lead
        return [
            Written(before + place, length, value, [], hidden=not visible or value.splinter)
            for place, length, value in pieces(start - before, end - before, b.metre, self.quarter, True)
        ]

    def _grace(self, c: Chord) -> Written:
        written = Written(c.onset, 0, GRACE, [], grace=True, slash=True)
        for h in c.heads:
            self._head(written, h, False, False)
        return written

    def _head(self, written: Written, head: Head, tied_from: bool, tied_to: bool) -> None:
        count = self.counts.get(head.id, 0) + 1
        while count > 1 and f"{head.id}.{count}" in self.ids:
            count += 1
        self.counts[head.id] = count
        name = head.id if count == 1 else f"{head.id}.{count}"
        found = WrittenHead(name, head.pitch, tied_from, tied_to, head.small)
        self.heads.setdefault(head.id, []).append((written, found))
        written.heads.append(found)


def _joined(graces: list[Written]) -> list[Written]:
    """Graces that follow each other are semiquavers under one beam, without the stroke of a single one."""
    if len(graces) > 1:
        for written in graces:
            word = "begin" if written is graces[0] else "end" if written is graces[-1] else "continue"
            written.value, written.slash, written.beams = GRACES, False, (word, word)
    return graces


def _in_order(found: list[Written]) -> list[Written]:
    """By onset, graces before what they lead to, chords from low to high; a grace for which there is no place before
    what is written longer stands behind that."""
    found.sort(key=lambda w: (w.onset, not w.grace))
    reached = 0
    for written in found:
        if written.grace:
            written.onset = max(written.onset, reached)
        reached = written.end
        if len(written.heads) > 1:
            written.heads.sort(key=lambda h: (h.pitch.diatonic, h.pitch.midi))
    return found
