"""Walking the MEI that verovio makes of every format, bar by bar: what is found, in quarters from each bar line.

Nothing is judged here. What cannot be placed exactly is an error that names the bar.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.errors import ScoreError
from sitegen.score.layers import XML_ID, Event, read_layer
from sitegen.score.mei_signs import collect_mei_signs
from sitegen.score.mei_values import clef, key_fifths, metre, pitch, tag
from sitegen.score.musicxml_signs import read_musicxml_signs
from sitegen.score.musicxml_times import ROUNDING, Times
from sitegen.score.nouns import Metre, Pitch
from sitegen.score.signs import Signs, collect_signs
from sitegen.score.signs_found import SignsFound
from sitegen.score.staves import StaffFound, find_staves

MOST_NOTES = 100_000
MOST_BARS = 20_000


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


@dataclass(slots=True)
class Walk:
    """What is in force while the sections are walked, and what has been found.

    ``times`` are those of a MusicXML file itself, which rule over the importer's. ``spelled_out`` says that every
    accidental is written at its note, as the importers of MusicXML and Humdrum do.
    """

    file: str
    spelled_out: bool = True
    times: Times | None = None
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


def walk_music(music: Element, walk: Walk) -> None:
    """Fill ``walk`` from a ``score`` element. Raises ``ScoreError`` (bar, reason)."""
    for child in music:
        _section(child, walk, ())
    if not walk.bars:
        raise ScoreError("holds no bars", "Export the score again.", walk.file)
    if walk.times is not None:
        walk.clefs = [(c.staff, c.bar, c.onset, c.clef) for c in walk.times.clefs]
        walk.phrasing = read_musicxml_signs(walk.times)


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
        if found_key is not None:
            walk.fifths = found_key
            walk.staff_fifths.clear()
        for number, staff_found in find_staves(element).items():
            walk.staves.setdefault(number, staff_found)
    for staff in (e for e in element.iter() if tag(e) == "staffDef"):
        number = int(staff.get("n") or 1)
        walk.metre = metre(staff) or walk.metre
        key = key_fifths(staff)
        if key is not None:
            walk.staff_fifths[number] = walk.fifths = key
        for child in (staff, *(e for e in staff if tag(e) == "clef")):
            found = clef(child)
            if found:
                walk.clefs.append((number, len(walk.bars), Fraction(0), found))


def _measure(element: Element, walk: Walk, endings: tuple[int, ...]) -> None:
    index = len(walk.bars)
    number = element.get("n") or str(index + 1)
    content, filled = Fraction(0), Fraction(0)
    for staff in (e for e in element if tag(e) == "staff"):
        staff_content, staff_filled = _staff(staff, index, number, walk)
        content, filled = max(content, staff_content), max(filled, staff_filled)
    if len(walk.notes) > MOST_NOTES or index >= MOST_BARS:
        raise ScoreError(f"more than {MOST_NOTES} notes or {MOST_BARS} bars", "Split the work into movements.",
                         walk.file, bar=number)  # fmt: skip
    walk.bars.append(BarFound(
        number, _length(content, filled, walk, index), walk.metre, walk.fifths,
        element.get("left") in ("rptstart", "rptboth"), element.get("right") in ("rptend", "rptboth"), endings,
    ))  # fmt: skip
    if element.get("right") == "rptboth":
        walk.signs.repeat_after.add(index)
    collect_signs(element, index, walk.metre, walk.signs)
    if walk.times is None:
        collect_mei_signs(element, index, walk.metre, walk.phrasing)


def _staff(staff: Element, index: int, number: str, walk: Walk) -> tuple[Fraction, Fraction]:
    """Find the notes of one staff in one bar; returns how far notes and rests reach, and how far anything does."""
    n = int(staff.get("n") or 1)
    walk.staves.setdefault(n, StaffFound())
    in_force: dict[tuple[str, int], int] = {}
    fifths = 0 if walk.spelled_out else walk.staff_fifths.get(n, walk.fifths)
    content, filled = Fraction(0), Fraction(0)
    for position, element in enumerate(e for e in staff if tag(e) == "layer"):
        layer = read_layer(element)
        if layer.repeats:
            raise ScoreError("holds a sign that repeats earlier music", "Write the music out.", walk.file, bar=number)
        content, filled = max(content, layer.content), max(filled, layer.filled)
        walk.clefs += [(n, index, onset, found) for onset, found in layer.clefs]
        for event in layer.events:
            found_pitch = pitch(event.element, {} if walk.spelled_out else in_force, fifths)
            if found_pitch is None:
                walk.unpitched += 1
                continue
            name, voice = event.element.get(XML_ID, ""), 4 * (n - 1) + min(position, 3) + 1
            place = walk.times.places.get(name) if walk.times is not None else None
            onset, duration = (place.onset, place.duration) if place else (event.onset, event.duration)
            if duration <= 0 and not event.grace:
                raise ScoreError("a note has no length", "Give it a note value.", walk.file, bar=number)
            where = event.staff or n
            walk.notes.append(NoteFound(name, index, onset, duration, found_pitch, where, voice, event))
    return content, filled


def _length(content: Fraction, filled: Fraction, walk: Walk, index: int) -> Fraction:
    """How long a bar is, in quarters: as its notes and rests, or a full bar where they all but reach it."""
    full = walk.metre.quarters
    if walk.times is not None:
        content, filled = walk.times.contents.get(index, content), walk.times.filled.get(index, filled)
        content = full if abs(content - full) <= ROUNDING else content
    if content >= full:
        return content
    # a bar that only gaps fill out is as long as its gaps, up to a full bar
    return min(full, max(content, filled)) or full
