"""From a file to a ``Score``: walks the MEI that verovio makes of every format, bar by bar.

Nothing is judged here. What cannot be placed exactly is an error that names the bar.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import Element

import defusedxml.ElementTree as SafeTree

from sitegen.errors import ScoreError
from sitegen.score.importing import import_mei
from sitegen.score.layers import XML_ID, Event, read_layer
from sitegen.score.mei_values import clef, key_fifths, metre, pitch, tag
from sitegen.score.nouns import Bar, Clef, Metre, Note, Notehead, Pitch, Score, Tempo
from sitegen.score.signs import Signs, collect_signs
from sitegen.score.sources import Source, open_source
from sitegen.score.staves import StaffFound, find_staves, name_hands
from sitegen.score.ties import merge_ties

MOST_NOTES = 100_000


@dataclass(slots=True)
class _Found:
    """A note as read, in quarters from its bar line; ticks come when every value is known."""

    id: str
    bar: int
    onset: Fraction
    duration: Fraction
    pitch: Pitch
    staff: int
    voice: int
    event: Event


@dataclass(slots=True)
class _BarFound:
    number: str
    length: Fraction
    metre: Metre
    fifths: int
    repeat_start: bool
    repeat_end: bool
    endings: tuple[int, ...]


@dataclass(slots=True)
class _Walk:
    """What is in force while the sections are walked, and what has been found."""

    file: str
    metre: Metre = Metre(4, 4)
    fifths: int = 0
    staff_fifths: dict[int, int] = field(default_factory=dict)
    bars: list[_BarFound] = field(default_factory=list)
    notes: list[_Found] = field(default_factory=list)
    clefs: list[tuple[int, int, Fraction, tuple[str, int, int]]] = field(default_factory=list)
    ppq: dict[int, int] = field(default_factory=dict)
    staves: dict[int, StaffFound] = field(default_factory=dict)
    signs: Signs = field(default_factory=Signs)
    unpitched: int = 0


def read_score(path: Path | Source) -> Score:
    """Read a score file of any supported format.

    Raises ``ScoreError`` (file, bar, reason) where it cannot be read whole.
    """
    source = path if isinstance(path, Source) else open_source(path)
    tree = import_mei(source)
    walk = _Walk(source.file)
    music = tree.find(".//{*}body//{*}score")
    if music is None:
        raise ScoreError("holds no music", "Export the score again.", source.file)
    for child in music:
        _section(child, walk, ())
    _check(walk)
    score = _assemble(walk, tree)
    if source.kind == "musicxml":
        _check_nothing_lost(source, score)
    return score


def _section(element: Element, walk: _Walk, endings: tuple[int, ...]) -> None:
    name = tag(element)
    if name == "measure":
        _measure(element, walk, endings)
    elif name in ("scoreDef", "staffDef"):
        _definition(element, walk)
    elif name == "ending":
        passes = tuple(
            int(n) for n in (element.get("n") or "").replace(".", " ").replace(",", " ").split() if n.isdigit()
        )
        for child in element:
            _section(child, walk, passes or (1,))
    elif name in ("section", "lem", "reg", "corr"):
        for child in element:
            _section(child, walk, endings)
    elif name in ("app", "choice"):
        for child in list(element)[:1]:
            _section(child, walk, endings)


def _definition(element: Element, walk: _Walk) -> None:
    """A ``scoreDef`` or ``staffDef``: signatures and clefs from here on."""
    if tag(element) == "scoreDef":
        found_metre, found_key = metre(element), key_fifths(element)
        walk.metre = found_metre or walk.metre
        if found_key is not None:
            walk.fifths = found_key
            walk.staff_fifths.clear()
        for number, staff_found in find_staves(element).items():
            walk.staves.setdefault(number, staff_found)
    for staff in (e for e in element.iter() if tag(e) == "staffDef"):
        number = int(staff.get("n") or 1)
        walk.metre = metre(staff) or walk.metre
        if (staff.get("ppq") or "").isdigit():
            walk.ppq[number] = int(staff.get("ppq", "0"))
        key = key_fifths(staff)
        if key is not None:
            walk.staff_fifths[number] = walk.fifths = key
        for child in (staff, *(e for e in staff if tag(e) == "clef")):
            found = clef(child)
            if found:
                walk.clefs.append((number, len(walk.bars), Fraction(0), found))


def _measure(element: Element, walk: _Walk, endings: tuple[int, ...]) -> None:
    index = len(walk.bars)
    full = walk.metre.quarters
    length, spaced = Fraction(0), Fraction(0)
    for staff in (e for e in element if tag(e) == "staff"):
        number = int(staff.get("n") or 1)
        walk.staves.setdefault(number, StaffFound())
        in_force: dict[tuple[str, int], int] = {}
        fifths = walk.staff_fifths.get(number, walk.fifths)
        for position, layer_element in enumerate(e for e in staff if tag(e) == "layer"):
            layer = read_layer(layer_element, walk.ppq.get(number))
            if layer.repeats:
                raise ScoreError(
                    "holds a sign that repeats earlier music", "Write the music out.", walk.file, bar=element.get("n")
                )
            length = max(length, full if layer.near(full) else layer.content)
            spaced = max(spaced, layer.filled)
            walk.clefs += [(number, index, onset, found) for onset, found in layer.clefs]
            for event in layer.events:
                found_pitch = pitch(event.element, in_force, fifths)
                if found_pitch is None:
                    walk.unpitched += 1
                    continue
                name, voice = event.element.get(XML_ID, ""), 4 * (number - 1) + min(position, 3) + 1
                where = event.staff or number
                walk.notes.append(_Found(name, index, event.onset, event.duration, found_pitch, where, voice, event))
    number_text = element.get("n") or str(index + 1)
    if len(walk.notes) > MOST_NOTES:
        raise ScoreError(f"more than {MOST_NOTES} notes", "Split the work into movements.", walk.file, bar=number_text)
    if length < full:
        # a bar that only gaps fill out is as long as its gaps, up to a full bar
        length = min(full, max(length, spaced)) or full
    walk.bars.append(_BarFound(
        number_text, length, walk.metre, walk.fifths,
        element.get("left") in ("rptstart", "rptboth"), element.get("right") in ("rptend", "rptboth"), endings,
    ))  # fmt: skip
    if element.get("right") == "rptboth":
        walk.signs.repeat_after.add(index)
    collect_signs(element, index, walk.metre, walk.signs)


def _check(walk: _Walk) -> None:
    if not walk.bars:
        raise ScoreError("holds no bars", "Export the score again.", walk.file)


def _ticks_per_quarter(walk: _Walk) -> int:
    """The least common multiple of every denominator in the score."""
    values = {n.onset.denominator for n in walk.notes} | {n.duration.denominator for n in walk.notes}
    values |= {b.length.denominator for b in walk.bars} | {c[2].denominator for c in walk.clefs}
    values |= {b.metre.quarters.denominator for b in walk.bars} | {b.metre.beat_quarters.denominator for b in walk.bars}
    return math.lcm(4, *values)


def _assemble(walk: _Walk, tree: Element) -> Score:
    tpq = _ticks_per_quarter(walk)
    bars = _bars(walk, tpq)
    onset_of = {b.index: b.onset for b in bars}
    staves = name_hands(walk.staves)
    heads: list[Note] = []
    for found in walk.notes:
        onset = onset_of[found.bar] + int(found.onset * tpq)
        duration = int(found.duration * tpq)
        head = Notehead(found.id, found.bar, onset, duration)
        names = [found.id] + ([found.event.parent.get(XML_ID, "")] if found.event.parent is not None else [])
        marks = walk.signs.at(names, found.bar, found.onset, found.staff)
        heads.append(Note(
            found.id, found.bar, onset, duration, found.pitch, min(found.staff, len(staves)), found.voice,
            grace=found.event.grace, noteheads=(head,), ornaments=marks.ornaments, arpeggio=marks.arpeggio,
            tremolo=found.event.tremolo, fermata=marks.fermata, slur_start=marks.slur_start, slur_end=marks.slur_end,
            chord=found.event.chord,
        ))  # fmt: skip
    notes = merge_ties(heads, walk.signs.ties(walk.notes))
    clefs = tuple(Clef(staff, onset_of[bar] + int(at * tpq), *value)
                  for staff, bar, at, value in sorted(walk.clefs, key=lambda c: (c[0], c[1], c[2])) if bar in onset_of)  # fmt: skip
    title, composer = _names(tree)
    tempi = tuple(Tempo(onset_of[bar] + int(at * tpq), bpm, text) for bar, at, bpm, text in walk.signs.tempi)
    warnings = (f"{walk.unpitched} unpitched notes are left out",) if walk.unpitched else ()
    return Score(tpq, bars, staves, notes, clefs, tempi, walk.file, title, composer, warnings)


def _bars(walk: _Walk, tpq: int) -> tuple[Bar, ...]:
    bars: list[Bar] = []
    onset, before = 0, Fraction(0)
    for index, b in enumerate(walk.bars):
        full = b.metre.quarters
        short = full - b.length
        is_upbeat = short > 0 and (index == 0 or before == short)
        lead = short if is_upbeat else Fraction(0)
        start = b.repeat_start or index - 1 in walk.signs.repeat_after
        bars.append(
            Bar(
                index,
                b.number,
                onset,
                int(b.length * tpq),
                b.metre,
                b.fifths,
                int(lead * tpq),
                start,
                b.repeat_end,
                b.endings,
            )
        )
        onset += int(b.length * tpq)
        before = b.length if not is_upbeat or index == 0 else Fraction(0)
        if b.length == full:
            before = Fraction(0)
    return tuple(bars)


def _names(tree: Element) -> tuple[str, str]:
    def first(path: str) -> str:
        return next((text for e in tree.iterfind(path) if (text := " ".join("".join(e.itertext()).split()))), "")

    title = first(".//{*}workList/{*}work/{*}title/{*}titlePart[@type='main']") or first(".//{*}titleStmt/{*}title")
    composer = (first(".//{*}titleStmt/{*}composer") or first(".//{*}titleStmt//{*}persName[@role='composer']")
                or first(".//{*}composer/{*}persName") or first(".//{*}work/{*}composer"))  # fmt: skip
    return title, composer


def _check_nothing_lost(source: Source, score: Score) -> None:
    """Every pitched note of the MusicXML file must be in the score."""
    have = {head.id for note in score.notes for head in note.noteheads}
    lost: dict[str, int] = defaultdict(int)
    for measure in SafeTree.fromstring(source.text).iter("measure"):
        for note in measure.iter("note"):
            if note.find("pitch") is not None and note.get("id") not in have:
                lost[measure.get("number") or "?"] += 1
    if lost:
        bar = next(iter(lost))
        raise ScoreError(f"{sum(lost.values())} notes could not be placed, the first {lost[bar]} here",
                         "Check the voices of this bar in a notation editor and export again.", source.file, bar=bar)  # fmt: skip
