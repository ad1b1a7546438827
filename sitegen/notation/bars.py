"""One bar of one staff as music21 objects: clefs and signatures, voices, rests, notes with their ties.

The id of a stage's note is the id of its first written note; the notes tied to it are called ``<id>.2``, ``<id>.3``,
leaving out what is the id of another note.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from music21 import bar, chord, clef, duration, expressions, key, meter, note, pitch, stream, tie

from sitegen.notation.beams import add_beams, join_graces
from sitegen.notation.clefs import Changes
from sitegen.notation.durations import duration_of
from sitegen.notation.moved import HandSign, direction
from sitegen.notation.rests import intersect, rests_needed, silences, subtract
from sitegen.notation.tempi import tempi_said, tempo_mark
from sitegen.notation.tuplets import TupletFigures
from sitegen.notation.values import divide, value_of
from sitegen.notation.voices import Chord, Head, assign_voices
from sitegen.score import Bar, Score

_STEPS = {"trill": expressions.Trill, "mordent": expressions.Mordent, "upper mordent": expressions.InvertedMordent,
          "turn": expressions.Turn, "inverted turn": expressions.InvertedTurn}  # fmt: skip


class _Struck(chord.Chord):  # type: ignore[misc]  # music21 is not typed
    """A chord that is written as it stands: music21 copies one, note by note, before it sorts and writes it."""

    def sortAscending(self, *, inPlace: bool = False) -> chord.Chord:  # noqa: N802, N803 (music21 calls it so)
        self.sortDiatonicAscending(inPlace=True)
        return self


class BarWriter:
    """Holds what every bar needs: the ids and tuplet figures written so far. ``heads`` gives for the id of each note of
    the stage those of its written notes, in order."""

    def __init__(self, score: Score, ids: frozenset[str], signs: Sequence[HandSign]) -> None:
        self.score = score
        self.ids = ids
        self.signs = signs
        self.heads: dict[str, list[str]] = {}
        self.counts: dict[str, int] = {}
        self.figures = TupletFigures()
        self.tempi = tempi_said(score)

    def begin_staff(self) -> None:
        """Forget the tuplet figures of the staff before."""
        self.figures = TupletFigures()

    def measure(
        self, b: Bar, chords: Sequence[Chord], new_clefs: Changes, before: Bar | None, staff: int
    ) -> stream.Measure:
        measure = stream.Measure(number=b.index + 1)
        for tick, new in new_clefs:
            measure.insert(self._quarters(tick - b.onset), clef.clefFromString(f"{new.sign}{new.line}", new.octaves))
        if before is None or before.fifths != b.fifths:
            measure.keySignature = key.KeySignature(b.fifths)
        if before is None or before.metre != b.metre:
            measure.timeSignature = meter.TimeSignature(b.metre.name)
            measure.timeSignature.symbol = b.metre.symbol
        if b.repeat_start:
            measure.leftBarline = bar.Repeat(direction="start")
        if b.repeat_end:
            measure.rightBarline = bar.Repeat(direction="end")
        elif b.index == len(self.score.bars) - 1:
            measure.rightBarline = bar.Barline("final")
        if staff == 1:
            for t in self.tempi:
                if b.onset <= t.onset < b.end:
                    mark = tempo_mark(t, b.metre.beat_quarters)
                    measure.insert(self._quarters(t.onset - b.onset), mark)
        for sign in self.signs:
            if sign.staff == staff and b.onset <= sign.onset < b.end:
                words = direction(sign, self.score.hand_of(staff))
                measure.insert(self._quarters(sign.onset - b.onset), words)
        self._fill(measure, b, chords)
        return measure

    def _fill(self, measure: stream.Measure, b: Bar, chords: Sequence[Chord]) -> None:
        voices = assign_voices(chords)
        if not any(not c.grace for voice in voices for c in voice):
            graces: list[tuple[Fraction, note.GeneralNote]] = [
                (self._quarters(c.onset - b.onset), self._grace(c)) for voice in voices for c in voice
            ]
            for place, element in graces + self._empty_bar(b):
                measure.insert(place, element)
            return
        silent = silences(chords, b.onset, b.end)
        for number, voice in enumerate(voices, 1):
            target = stream.Voice(id=str(number)) if len(voices) > 1 else measure
            others = [c for other in voices if other is not voice for c in other]
            alone = subtract(rests_needed(voice, others, b.onset, b.end), silent)
            elements = self._voice(b, voice, sorted(silent + alone) if number == 1 else alone)
            for place, element in elements:
                target.insert(place, element)
            self.figures.mark(elements, self._quarters(b.lead), b.index)
            add_beams(elements, b.metre, self._quarters(b.lead), self._quarters(b.length))
            if target is not measure:
                measure.insert(0, target)

    def _empty_bar(self, b: Bar) -> list[tuple[Fraction, note.GeneralNote]]:
        """A bar's rest; in a bar that is not as long as its metre, rests of just that length."""
        if self._quarters(b.length) != b.metre.quarters:
            return self._rests(b, b.onset, b.end, True)
        rest = note.Rest(quarterLength=b.metre.quarters)
        rest.fullMeasure = True
        return [(Fraction(0), rest)]

    def _voice(
        self, b: Bar, voice: Sequence[Chord], visible: Sequence[tuple[int, int]]
    ) -> list[tuple[Fraction, note.GeneralNote]]:
        own = silences(voice, b.onset, b.end)
        shown = intersect(own, visible)
        hidden = subtract(own, shown)
        elements: list[tuple[Fraction, note.GeneralNote]] = []
        for stretches, visible_here in ((shown, True), (hidden, False)):
            for start, end in stretches:
                elements += self._rests(b, start, end, visible_here)
        for c in voice:
            if c.grace:
                elements.append((self._quarters(c.onset - b.onset), self._grace(c)))
            else:
                elements += self._pieces(b, c)
        join_graces([element for _, element in elements])
        # graces are appended before their main chord, and a stable sort keeps them there
        return sorted(elements, key=lambda e: e[0])

    def _pieces(self, b: Bar, c: Chord) -> list[tuple[Fraction, note.GeneralNote]]:
        start, end = self._place(b, c.onset), self._place(b, c.end)
        pieces = divide(start, end, b.metre)
        lead = self._quarters(b.lead)
        found: list[tuple[Fraction, note.GeneralNote]] = []
        for position, (place, length) in enumerate(pieces):
            first, last = position == 0, position == len(pieces) - 1
            notes = [self._note(h, h.tied_from or not first, h.tied_to or not last) for h in c.heads]
            element: note.GeneralNote = notes[0] if len(notes) == 1 else _Struck(notes)
            element.duration = duration_of(length)
            if first and c.rolled and len(notes) > 1:
                element.expressions.append(expressions.ArpeggioMark())
            if first:
                element.expressions += [_STEPS[o]() for o in c.ornaments if o in _STEPS]
            found.append((place - lead, element))
        return found

    def _rests(self, b: Bar, start: int, end: int, visible: bool) -> list[tuple[Fraction, note.GeneralNote]]:
        found: list[tuple[Fraction, note.GeneralNote]] = []
        for place, length in divide(self._place(b, start), self._place(b, end), b.metre, rest=True):
            rest = note.Rest()
            rest.fullMeasure = False
            rest.duration = duration_of(length)
            rest.style.hideObjectOnPrint = not visible or value_of(length) is None
            found.append((place - self._quarters(b.lead), rest))
        return found

    def _grace(self, c: Chord) -> note.GeneralNote:
        notes = [self._note(h, False, False) for h in c.heads]
        element: note.GeneralNote = notes[0] if len(notes) == 1 else _Struck(notes)
        element.duration = duration.Duration(type="eighth")
        graced: note.GeneralNote = element.getGrace()
        for source, target in zip(notes, graced.notes if isinstance(graced, chord.Chord) else (graced,), strict=True):
            target.id = source.id
        return graced

    def _note(self, head: Head, tied_from: bool, tied_to: bool) -> note.Note:
        count = self.counts.get(head.id, 0) + 1
        while count > 1 and f"{head.id}.{count}" in self.ids:
            count += 1
        self.counts[head.id] = count
        p = pitch.Pitch(step=head.pitch.step, octave=head.pitch.octave)
        p.accidental = pitch.Accidental(head.pitch.alter) if head.pitch.alter else None
        element = note.Note(p)
        if head.small:
            element.style.noteSize = "cue"
        element.id = head.id if count == 1 else f"{head.id}.{count}"
        self.heads.setdefault(head.id, []).append(element.id)
        if tied_from or tied_to:
            element.tie = tie.Tie("continue" if tied_from and tied_to else "stop" if tied_from else "start")
        return element

    def _quarters(self, ticks: int) -> Fraction:
        return Fraction(ticks, self.score.ticks_per_quarter)

    def _place(self, b: Bar, tick: int) -> Fraction:
        return self._quarters(b.lead + tick - b.onset)
