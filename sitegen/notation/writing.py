"""A stage as MusicXML: music21 objects for bars, voices, ties, tuplets, beams and accidentals, written by music21;
then, in what it wrote, the signs that stay."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from xml.etree import ElementTree

from music21 import chord, defaults, layout, metadata, note, spanner, stream
from music21.musicxml.m21ToXml import ScoreExporter

from sitegen.notation.accidentals import show_accidentals
from sitegen.notation.bars import BarWriter
from sitegen.notation.clefs import as_printed, choose_clefs
from sitegen.notation.finishing import finish
from sitegen.notation.moved import hand_signs, octave_moved
from sitegen.notation.octave_order import order_under_octave_signs
from sitegen.notation.phrasing import Phrasing, carry_signs
from sitegen.notation.signs import add_signs
from sitegen.notation.voices import Chord, Head, gather_chords
from sitegen.reduction.nouns import Stage
from sitegen.score import Bar, Score


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
    bars = BarWriter(score, frozenset(n.id for n in stage.notes), hand_signs(score, stage.notes))
    return _Writer(score, stage.title, bars, carry_signs(score, stage.notes)).write(items)


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
    """One score being written."""

    def __init__(self, score: Score, title: str, bars: BarWriter, phrasing: Phrasing) -> None:
        self.score = score
        self.title = title
        self.bars = bars
        self.phrasing = phrasing

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
        order_under_octave_signs(tree, self.score, [s for s in self.phrasing.signs if s.kind == "octave"])
        add_signs(tree, self.score, self.phrasing, self.bars.heads)
        finish(tree, self.title, self.score.title, self.score.composer, self.score.bars)
        return ElementTree.tostring(tree, encoding="unicode", xml_declaration=True)

    def _part(self, staff: int, items: Sequence[Chord]) -> stream.PartStaff:
        part = stream.PartStaff(id=f"staff-{staff}")
        self.bars.begin_staff()
        bars = self._cut(items)
        signs = [s for s in self.phrasing.signs if s.kind == "octave" and s.staff == staff]
        clefs = choose_clefs(self.score, staff, [[as_printed(c, signs) for c in chords] for chords in bars])
        before: Bar | None = None
        for b, chords, changes in zip(self.score.bars, bars, clefs, strict=True):
            part.append(self.bars.measure(b, chords, changes, before, staff))
            before = b
        self._endings(part)
        show_accidentals((b.fifths, _in_order(m)) for b, m in zip(self.score.bars, part[stream.Measure], strict=True))
        return part

    def _cut(self, items: Sequence[Chord]) -> list[list[Chord]]:
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
