"""A stage as MusicXML: music21 objects for bars, voices, ties, tuplets, beams and accidentals, written by music21.

The id of a stage's note is the id of its first written note; the notes tied to it are called ``<id>.2``, ``<id>.3``,
leaving out what is the id of another note.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from xml.etree import ElementTree

from music21 import (
    bar,
    chord,
    clef,
    defaults,
    duration,
    expressions,
    key,
    layout,
    metadata,
    meter,
    note,
    pitch,
    spanner,
    stream,
    tie,
)
from music21.musicxml.m21ToXml import ScoreExporter

from sitegen.notation.accidentals import show_accidentals
from sitegen.notation.beams import add_beams, join_graces
from sitegen.notation.clefs import Changes, choose_clefs
from sitegen.notation.durations import duration_of
from sitegen.notation.finishing import finish
from sitegen.notation.moved import HandSign, direction, hand_signs, octave_moved
from sitegen.notation.rests import intersect, silences, subtract
from sitegen.notation.tempi import tempi_said, tempo_mark
from sitegen.notation.tuplets import TupletFigures
from sitegen.notation.values import divide, value_of
from sitegen.notation.voices import Chord, Head, assign_voices, gather_chords
from sitegen.reduction.nouns import Stage
from sitegen.score import Bar, Score

_STEPS = {"trill": expressions.Trill, "mordent": expressions.Mordent, "upper mordent": expressions.InvertedMordent,
          "turn": expressions.Turn, "inverted turn": expressions.InvertedTurn}  # fmt: skip


def write_stage(score: Score, stage: Stage) -> str:
    """The stage as MusicXML text. Every bar of every staff is filled exactly."""
    items: dict[int, list[Chord]] = {staff.number: [] for staff in score.staves}
    graces = {n.id: n for n in score.notes if n.grace}
    moved = octave_moved(score, stage.notes)
    for n in stage.notes:
        head = (Head(n.id, n.pitch, small=n.small or n.id in moved),)
        grace = graces.get(n.sources[0]) if n.grace else None
        closes = grace.bar if grace is not None and n.onset == score.bars[grace.bar].end else None
        together = grace.chord if grace is not None else ""
        items[n.staff].append(
            Chord(n.onset, n.duration, head, n.grace, n.rolled, n.ornaments, n.voice, closes, together)
        )
    signs = hand_signs(score, stage.notes)
    return _Writer(score, stage.title, frozenset(n.id for n in stage.notes), signs).write(items)


@contextmanager
def _divisions(count: int) -> Iterator[None]:
    """Let music21 write ``count`` divisions to the quarter, so that every length of the score is whole."""
    before = defaults.divisionsPerQuarter
    defaults.divisionsPerQuarter = count
    try:
        yield
    finally:
        defaults.divisionsPerQuarter = before


class _Writer:
    """One score being written; holds what every bar needs: the ids and tuplet figures written so far."""

    def __init__(self, score: Score, title: str, ids: frozenset[str], signs: Sequence[HandSign]) -> None:
        self.score = score
        self.title = title
        self.ids = ids
        self.signs = signs
        self.heads: dict[str, int] = {}
        self.figures = TupletFigures()
        self.tempi = tempi_said(score.tempi)

    def write(self, items: dict[int, list[Chord]]) -> str:
        whole = stream.Score()
        whole.insert(0, metadata.Metadata(title=self.title, composer=self.score.composer or None))
        parts = [self._part(staff.number, items[staff.number]) for staff in self.score.staves]
        for part in parts:
            whole.insert(0, part)
        if len(parts) > 1:
            whole.insert(0, layout.StaffGroup(parts, symbol="brace", barTogether=True))
        with _divisions(math.lcm(10080, self.score.ticks_per_quarter)):
            tree: ElementTree.Element = ScoreExporter(whole, makeNotation=False).parse()
        finish(tree, self.title, self.score.title, self.score.composer, self.score.bars)
        return ElementTree.tostring(tree, encoding="unicode", xml_declaration=True)

    def _part(self, staff: int, items: Sequence[Chord]) -> stream.PartStaff:
        part = stream.PartStaff(id=f"staff-{staff}")
        self.figures = TupletFigures()
        bars = self._bars(items)
        clefs = choose_clefs(self.score, staff, bars)
        before: Bar | None = None
        for b, chords, changes in zip(self.score.bars, bars, clefs, strict=True):
            part.append(self._measure(b, chords, changes, before, staff))
            before = b
        self._endings(part)
        show_accidentals((b.fifths, _in_order(m)) for b, m in zip(self.score.bars, part[stream.Measure], strict=True))
        return part

    def _bars(self, items: Sequence[Chord]) -> list[list[Chord]]:
        """The items cut at the bar lines, as chords, bar by bar."""
        found: list[list[Chord]] = [[] for _ in self.score.bars]
        for item in items:
            index = self.score.bar_at(item.onset).index
            if item.grace:
                found[index if item.closes is None else item.closes].append(item)
            while not item.grace and index < len(self.score.bars) and self.score.bars[index].onset < item.end:
                b = self.score.bars[index]
                found[index].append(item.cut(b.onset, b.end))
                index += 1
        return [gather_chords(chords) for chords in found]

    def _measure(
        self, b: Bar, chords: Sequence[Chord], new_clefs: Changes, before: Bar | None, staff: int
    ) -> stream.Measure:
        measure = stream.Measure(number=b.index + 1)
        for tick, new in new_clefs:
            measure.insert(self._quarters(tick - b.onset), clef.clefFromString(f"{new.sign}{new.line}", new.octaves))
        if before is None or before.fifths != b.fifths:
            measure.keySignature = key.KeySignature(b.fifths)
        if before is None or before.metre != b.metre:
            measure.timeSignature = meter.TimeSignature(b.metre.name)
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
            elements = self._voice(b, voice, silent if number == 1 else [])
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
            element: note.GeneralNote = notes[0] if len(notes) == 1 else chord.Chord(notes)
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
        element: note.GeneralNote = notes[0] if len(notes) == 1 else chord.Chord(notes)
        element.duration = duration.Duration(type="eighth")
        graced: note.GeneralNote = element.getGrace()
        for source, target in zip(notes, graced.notes if isinstance(graced, chord.Chord) else (graced,), strict=True):
            target.id = source.id
        return graced

    def _note(self, head: Head, tied_from: bool, tied_to: bool) -> note.Note:
        count = self.heads.get(head.id, 0) + 1
        while count > 1 and f"{head.id}.{count}" in self.ids:
            count += 1
        self.heads[head.id] = count
        p = pitch.Pitch(step=head.pitch.step, octave=head.pitch.octave)
        p.accidental = pitch.Accidental(head.pitch.alter) if head.pitch.alter else None
        element = note.Note(p)
        if head.small:
            element.style.noteSize = "cue"
        element.id = head.id if count == 1 else f"{head.id}.{count}"
        if tied_from or tied_to:
            element.tie = tie.Tie("continue" if tied_from and tied_to else "stop" if tied_from else "start")
        return element

    def _endings(self, part: stream.PartStaff) -> None:
        measures = list(part.getElementsByClass(stream.Measure))
        index = 0
        while index < len(measures):
            passes = self.score.bars[index].endings
            last = index
            while last + 1 < len(measures) and passes and self.score.bars[last + 1].endings == passes:
                last += 1
            if passes:
                part.insert(0, spanner.RepeatBracket(measures[index : last + 1], number=", ".join(map(str, passes))))
            index = last + 1

    def _quarters(self, ticks: int) -> Fraction:
        return Fraction(ticks, self.score.ticks_per_quarter)

    def _place(self, b: Bar, tick: int) -> Fraction:
        return self._quarters(b.lead + tick - b.onset)


def _in_order(measure: stream.Measure) -> list[note.Note]:
    """Every note of a bar, chords taken apart, by onset; graces before the note they lead to."""
    containers = list(measure.voices) or [measure]
    found = [
        (element.offset, not element.duration.isGrace, order, single)
        for container in containers
        for order, element in enumerate(container.notes)
        for single in (element.notes if isinstance(element, chord.Chord) else (element,))
    ]
    return [single for *_, single in sorted(found, key=lambda f: f[:3])]
