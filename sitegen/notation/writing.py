"""A stage as MusicXML: its notes as voices of bars, the signs that stay put among them, then all of it as text."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from sitegen.notation.accidentals import show_accidentals
from sitegen.notation.bars import BarWriter
from sitegen.notation.clefs import as_printed, choose_clefs
from sitegen.notation.measures import Measures, Words
from sitegen.notation.moved import direction, hand_signs, octave_moved
from sitegen.notation.musicxml import measure_xml
from sitegen.notation.octave_order import order_under_octave_signs
from sitegen.notation.phrasing import carry_signs
from sitegen.notation.signs import add_signs
from sitegen.notation.tempi import tempi_said, tempo_mark
from sitegen.notation.voices import Chord, Head, gather_chords
from sitegen.notation.written import Direction, Item, Leap, Written, WrittenBar
from sitegen.reduction import Stage
from sitegen.score import Score, Sign


def write_stage(score: Score, stage: Stage) -> str:
    """The stage as MusicXML text. Every bar of every staff is filled exactly."""
    phrasing = carry_signs(score, stage.notes)
    octaves = [sign for sign in phrasing.signs if sign.kind == "octave"]
    bars = BarWriter(score, frozenset(n.id for n in stage.notes))
    chords = _chords(score, stage)
    staves = [_staff(score, staff.number, bars, chords[staff.number], octaves) for staff in score.staves]
    measures = Measures(score, _words(score, stage)).lay_out(staves)
    order_under_octave_signs(measures, score, octaves)
    add_signs(measures, score, phrasing, bars.heads)
    return _text(score, stage.title, measures)


def _chords(score: Score, stage: Stage) -> dict[int, list[Chord]]:
    """The notes of each staff, each alone."""
    found: dict[int, list[Chord]] = {staff.number: [] for staff in score.staves}
    graces = {n.id: n for n in score.notes if n.grace}
    moved = octave_moved(score, stage.notes)
    for n in stage.notes:
        head = (Head(n.id, n.pitch, small=n.small or n.id in moved),)
        grace = graces.get(n.sources[0]) if n.grace else None
        closes = grace.bar if grace is not None and n.onset == score.bars[grace.bar].end else None
        together = grace.chord if grace is not None else ""
        found[n.staff].append(
            Chord(n.onset, n.duration, head, n.grace, n.rolled, n.ornaments, n.voice, closes, together)
        )
    return found


def _words(score: Score, stage: Stage) -> dict[int, Words]:
    """What stands at each staff beside its notes: tempi over the first, and which hand takes what."""
    found: dict[int, list[tuple[int, Direction]]] = defaultdict(list)
    in_part = {staff.number: staff.number if len(score.staves) > 1 else 0 for staff in score.staves}
    for sign in hand_signs(score, stage.notes):
        said = direction(sign, score.hand_of(sign.staff), in_part[sign.staff])
        found[sign.staff].append((sign.onset, said))
    for mark in tempi_said(score):
        beat = score.bar_at(mark.onset).metre.beat_quarters
        found[1].append((mark.onset, tempo_mark(mark, beat, in_part[1])))
    return {staff: sorted(words, key=lambda w: w[0]) for staff, words in found.items()}


def _staff(
    score: Score, staff: int, bars: BarWriter, items: Sequence[Chord], octaves: Sequence[Sign]
) -> list[WrittenBar]:
    bars.begin_staff()
    cut = _cut(score, items)
    signs = [sign for sign in octaves if sign.staff == staff]
    clefs = choose_clefs(score, staff, [[as_printed(c, signs) for c in chords] for chords in cut])
    voices = [bars.voices(b, chords) for b, chords in zip(score.bars, cut, strict=True)]
    show_accidentals((b.fifths, of_bar) for b, of_bar in zip(score.bars, voices, strict=True))
    return [WrittenBar(of_bar, changes) for of_bar, changes in zip(voices, clefs, strict=True)]


def _cut(score: Score, items: Sequence[Chord]) -> list[list[Chord]]:
    """The items cut at the bar lines, as chords, bar by bar."""
    found: list[list[Chord]] = [[] for _ in score.bars]
    for item in items:
        index = score.bar_at(item.onset).index
        if item.grace:
            found[index if item.closes is None else item.closes].append(item)
        while not item.grace and index < len(score.bars) and score.bars[index].onset < item.end:
            b = score.bars[index]
            found[index].append(item.cut(b.onset, b.end))
            index += 1
    return [gather_chords(chords) for chords in found]


def _text(score: Score, title: str, measures: Sequence[Sequence[Item]]) -> str:
    """The file: ``title`` names the stage, the score the work; either may be empty."""
    division = _division(score.ticks_per_quarter, measures)
    work = score.title or title
    found = ['<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">']
    if work:
        found.append(f"<work><work-title>{escape(work)}</work-title></work>")
    if title:
        found.append(f"<movement-title>{escape(title)}</movement-title>")
    if score.composer:
        creator = f'<creator type="composer">{escape(score.composer)}</creator>'
        found.append(f"<identification>{creator}</identification>")
    found.append('<part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">')
    for b, items in zip(score.bars, measures, strict=True):
        implicit = ' implicit="yes"' if b.lead else ""
        text = measure_xml(items, division)
        if not b.index:
            divisions = f"<divisions>{score.ticks_per_quarter // division}</divisions>"
            text = text.replace("<attributes>", f"<attributes>{divisions}", 1)
        found.append(f"<measure number={quoteattr(b.number)}{implicit}>{text}</measure>")
    found.append("</part></score-partwise>")
    return "".join(found)


def _division(quarter: int, measures: Sequence[Sequence[Item]]) -> int:
    """The longest time, in ticks of which ``quarter`` make a quarter note, of which all that is written are multiples:
    the file counts in it, so that its figures are short."""
    counted = {quarter}
    for measure in measures:
        for item in measure:
            if isinstance(item, Written):
                counted.add(item.length)
            elif isinstance(item, Leap):
                counted.add(item.ticks)
            elif isinstance(item, Direction):
                counted.add(item.shift)
    return math.gcd(*counted)
