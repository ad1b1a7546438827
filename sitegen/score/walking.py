"""Walking the MEI that verovio makes of every format, bar by bar: what is found, in quarters from each bar line.

Nothing is judged here. What cannot be placed exactly is an error that names the bar.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.errors import ScoreError
from sitegen.score.bar_lengths import ROUNDING, VoiceReach, overrun_length
from sitegen.score.humdrum_times import HumdrumTimes
from sitegen.score.layers import XML_ID, Event, read_layer
from sitegen.score.lengths import MOST_BARS, MOST_NOTES, too_long
from sitegen.score.mei_signs import collect_mei_signs
from sitegen.score.mei_values import clef, key_fifths, metre, pitch, tag
from sitegen.score.musicxml_signs import read_musicxml_signs
from sitegen.score.musicxml_times import Times
from sitegen.score.nouns import Metre, Pitch
from sitegen.score.oddities import Oddities
from sitegen.score.signs import Signs, TempoFound, collect_signs
from sitegen.score.signs_found import SignsFound
from sitegen.score.sounding import Transposition, transposition
from sitegen.score.staves import StaffFound, find_staves

_AS_WRITTEN = Transposition()
LONGEST_BAR = 512
"""Quarter notes: the longest piece that is written without bar lines."""


@dataclass(slots=True)
class NoteFound:
    """A notehead as read: bar by index, ``onset`` and ``duration`` in quarters from its bar line."""

    id: str
    bar: int
    onset: Fraction
    duration: Fraction
    pitch: Pitch
    staff: int
    voice: int
    event: Event


@dataclass(slots=True)
class BarFound:
    """A bar as read, ``length`` in quarters."""

    number: str
    length: Fraction
    metre: Metre
    fifths: int
    repeat_start: bool
    repeat_end: bool
    endings: tuple[int, ...]
    odd: bool = False


@dataclass(slots=True)
class Walk:
    """What is in force while the sections are walked, and what has been found.

    ``times`` are those of a MusicXML file itself, ``spines`` those of a Humdrum file, which rule over the importer's.
    ``spelled_out`` says that every
    accidental is written at its note, as the importers of MusicXML and Humdrum do.
    """

    file: str
    spelled_out: bool = True
    times: Times | None = None
    spines: HumdrumTimes | None = None
    metre: Metre = Metre(4, 4)
    fifths: int = 0
    staff_fifths: dict[int, int] = field(default_factory=dict)
    bars: list[BarFound] = field(default_factory=list)
    notes: list[NoteFound] = field(default_factory=list)
    clefs: list[tuple[int, int, Fraction, tuple[str, int, int]]] = field(default_factory=list)
    staves: dict[int, StaffFound] = field(default_factory=dict)
    signs: Signs = field(default_factory=Signs)
    phrasing: SignsFound = field(default_factory=SignsFound)
    unpitched: int = 0
    transposed: dict[int, Transposition] = field(default_factory=dict)
    metre_said: bool = False
    odd: Oddities = field(default_factory=Oddities)


def walk_music(music: Element, walk: Walk) -> None:
    """Fill ``walk`` from a ``score`` element. Raises ``ScoreError`` (bar, reason)."""
    for child in music:
        _section(child, walk, ())
    if not walk.bars:
        raise ScoreError("holds no bars", "Export the score again.", walk.file)
    if not walk.metre_said and walk.times is None:
        _give_usual_metre(walk)
    if walk.times is not None:
        walk.clefs = [(c.staff, c.bar, c.onset, c.clef) for c in walk.times.clefs]
        walk.phrasing = read_musicxml_signs(walk.times)
        walk.signs.tempi = [_with_ties(tempo, walk.times) for tempo in walk.signs.tempi]


def _with_ties(tempo: TempoFound, times: Times) -> TempoFound:
    """What a metronome mark of tied notes says: the importer takes the first for the whole."""
    said = next((figure for bar, figure in times.tied_tempi if bar == tempo.bar), None)
    if said is None:
        return tempo
    return replace(tempo, figure=said, speed=said if tempo.speed == tempo.figure else tempo.speed)


def _give_usual_metre(walk: Walk) -> None:
    """The metre of music that names none: as long as most of its bars; one that only rests is as long."""
    reached: dict[int, Fraction] = {}
    for note in walk.notes:
        reached[note.bar] = max(reached.get(note.bar, Fraction(0)), note.onset + note.duration)
    usual = Counter(length for length in reached.values() if length).most_common(1)
    beats = usual[0][0] if usual else walk.metre.quarters
    units = (unit for unit in (4, 8, 16) if (beats * unit / 4).denominator == 1)
    unit = next(units, None)
    found = walk.metre if unit is None else Metre(int(beats * unit / 4), unit)
    for index, bar in enumerate(walk.bars):
        if index not in reached and bar.length == bar.metre.quarters:
            bar.length = found.quarters
        bar.metre = found


def _section(element: Element, walk: Walk, endings: tuple[int, ...]) -> None:
    name = tag(element)
    if name == "measure":
        _measure(element, walk, endings)
    elif name in ("scoreDef", "staffDef"):
        _definition(element, walk)
    elif name == "ending":
        numbers = (element.get("n") or "").replace(".", " ").replace(",", " ").split()
        passes = tuple(int(n) for n in numbers if n.isdecimal())
        for child in element:
            _section(child, walk, passes or (1,))
    elif name in ("section", "lem", "rdg", "reg", "corr", "orig", "sic"):
        for child in element:
            _section(child, walk, endings)
    elif name in ("app", "choice"):
        for child in list(element)[:1]:
            _section(child, walk, endings)


def _definition(element: Element, walk: Walk) -> None:
    """A ``scoreDef`` or ``staffDef``: signatures and clefs from here on."""
    if tag(element) == "scoreDef":
        found_metre, found_key = metre(element), key_fifths(element)
        walk.metre = found_metre or walk.metre
        walk.metre_said = walk.metre_said or found_metre is not None
        if found_key is not None:
            walk.fifths = found_key
            walk.staff_fifths.clear()
        for number, staff_found in find_staves(element).items():
            walk.staves.setdefault(number, staff_found)
    for staff in (e for e in element.iter() if tag(e) == "staffDef"):
        number = int(staff.get("n") or 1)
        found_metre = metre(staff)
        walk.metre, walk.metre_said = found_metre or walk.metre, walk.metre_said or found_metre is not None
        if staff.get("trans.semi") or staff.get("trans.diat"):
            steps, semitones = (_whole(staff.get(name)) for name in ("trans.diat", "trans.semi"))
            walk.transposed[number] = transposition(steps, semitones)
        key = key_fifths(staff)
        if key is not None:
            walk.staff_fifths[number] = key
            walk.fifths = walk.transposed.get(number, _AS_WRITTEN).of_key(key)
        for child in (staff, *(e for e in staff if tag(e) == "clef")):
            found = clef(child)
            if found:
                walk.clefs.append((number, len(walk.bars), Fraction(0), found))


def _whole(text: str | None) -> int | None:
    return None if text is None else int(float(text))


def _measure(element: Element, walk: Walk, endings: tuple[int, ...]) -> None:
    index, first = len(walk.bars), len(walk.notes)
    number = element.get("n") or str(index + 1)
    filled = Fraction(0)
    voices: list[VoiceReach] = []
    for staff in (e for e in element if tag(e) == "staff"):
        filled = max(filled, _staff(staff, index, number, walk, voices))
    if len(walk.notes) > MOST_NOTES or index >= MOST_BARS:
        raise too_long(walk.file)
    length, odd = _length(voices, filled, walk, index)
    if length > LONGEST_BAR:
        raise ScoreError(
            f"is {math.floor(length)} quarter notes long", "Divide it by bar lines.", walk.file, bar=number
        )
    cut = _cut_at(length, walk.notes[first:])
    if odd or cut:
        walk.odd.add(f"bar {number}", _overrun(length, walk.metre, cut), "Check its voices in a notation editor.")
    walk.bars.append(BarFound(
        number, length, walk.metre, walk.fifths,
        element.get("left") in ("rptstart", "rptboth"), element.get("right") in ("rptend", "rptboth"), endings,
        odd or cut > 0,
    ))  # fmt: skip
    if element.get("right") == "rptboth":
        walk.signs.repeat_after.add(index)
    collect_signs(element, index, walk.metre, walk.signs)
    if walk.times is None:
        collect_mei_signs(element, index, walk.metre, walk.phrasing)


def _staff(staff: Element, index: int, number: str, walk: Walk, voices: list[VoiceReach]) -> Fraction:
    """Find the notes of one staff in one bar, and its ``voices``; returns how far anything reaches."""
    n = int(staff.get("n") or 1)
    walk.staves.setdefault(n, StaffFound())
    in_force: dict[tuple[str, int], int] = {}
    fifths = 0 if walk.spelled_out else walk.staff_fifths.get(n, walk.fifths)
    filled = Fraction(0)
    for position, element in enumerate(e for e in staff if tag(e) == "layer"):
        layer = read_layer(element)
        if layer.repeats:
            walk.odd.add(
                f"bar {number}", "a sign repeats earlier music; it is read as a silence", "Write the music out."
            )
        filled = max(filled, layer.filled)
        voices.append(layer.reach)
        walk.clefs += [(n, index, onset, found) for onset, found in layer.clefs]
        for event in layer.events:
            name, voice = event.element.get(XML_ID, ""), 4 * (n - 1) + min(position, 3) + 1
            place = walk.times.places.get(name) if walk.times is not None else None
            written = place.pitch if place else pitch(event.element, {} if walk.spelled_out else in_force, fifths)
            if written is None:
                walk.unpitched += 1
                continue
            found_pitch = written if walk.times is not None else walk.transposed.get(n, _AS_WRITTEN).of(written)
            onset, duration = (place.onset, place.duration) if place else (event.onset, event.duration)
            if walk.spines is not None and name in walk.spines.places:
                _, onset, duration = walk.spines.places[name]
            if duration <= 0 and not event.grace:
                walk.odd.add(f"bar {number}", "a note has no length; it is left out", "Give it a note value.")
                continue
            where = event.staff or n
            walk.notes.append(NoteFound(name, index, onset, duration, found_pitch, where, voice, event))
    return filled


def _length(voices: Sequence[VoiceReach], filled: Fraction, walk: Walk, index: int) -> tuple[Fraction, bool]:
    """How long a bar is, in quarters, and whether it is odd: as its notes and rests, or a full bar where they all but
    reach it; what overruns it is judged in ``bar_lengths.py``."""
    full = walk.metre.quarters
    if walk.times is not None:
        voices = list(walk.times.voices.get(index, {}).values())
        filled = walk.times.filled.get(index, filled)
    elif walk.spines is not None:
        voices = walk.spines.reach.get(index, voices)
        filled = max((voice.end for voice in voices), default=filled)
    content = max((voice.end for voice in voices), default=Fraction(0))
    if content > full + (ROUNDING if walk.times is not None else 0):
        return overrun_length(voices, full)
    content = full if walk.times is not None and abs(content - full) <= ROUNDING else content
    if content >= full:
        return content, False
    # a bar that only gaps fill out is as long as its gaps, up to a full bar
    return min(full, max(content, filled)) or full, False


def _cut_at(length: Fraction, notes: Sequence[NoteFound]) -> int:
    """Let no note of a bar sound beyond its end; how many were cut by more than rounding."""
    cut = 0
    for note in notes:
        beyond = note.onset + note.duration - length
        if beyond > 0 and note.onset < length:
            note.duration -= beyond
            cut += beyond > ROUNDING
    return cut


def _overrun(length: Fraction, metre: Metre, cut: int) -> str:
    counted = f"; {cut} {'note is' if cut == 1 else 'notes are'} cut at its end" if cut else ""
    return f"its voices differ in length; it is read as {length} quarter notes long, in {metre.name}{counted}"
