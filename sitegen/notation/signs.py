"""The signs that stay, put into the MusicXML of a stage.

What stands at notes goes into their ``notations``; what stands at places becomes a ``direction`` before the note struck
there, or, where none is, an ``offset`` behind the one before; what ends somewhere ends behind the note that does.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``direction`` and ``notations``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element, SubElement

from sitegen.notation.directions import beginning_of, ending_of, sign_at
from sitegen.notation.phrasing import NoteMark, Phrasing
from sitegen.score import Bar, Score, Sign, Slur

#: The order in which MusicXML programs expect what stands at a note.
_NOTATIONS = ("tied", "slur", "tuplet", "ornaments", "technical", "articulations", "dynamics", "fermata", "arpeggiate")


def add_signs(tree: Element, score: Score, phrasing: Phrasing, heads: Mapping[str, Sequence[str]]) -> None:
    """Amend a score that music21 wrote; ``heads`` gives the ids of the written notes of each note of the stage."""
    page = _Page.of(tree, score)
    for mark in phrasing.marks:
        page.mark(mark, heads.get(mark.note, ()))
    ends = [(slur, *page.ends(slur, heads)) for slur in phrasing.slurs if slur.first in heads and slur.last in heads]
    places = [sorted((page.order[first], page.order[last])) for _, first, last in ends]
    for (slur, first, last), number in zip(ends, _numbers(places), strict=True):
        page.slur(slur, number, first, last)
    kinds: dict[str, list[Sign]] = defaultdict(list)
    for sign in phrasing.signs:
        kinds[sign.kind].append(sign)
    for signs in kinds.values():
        numbers = _numbers([(sign.onset, sign.end) for sign in signs])
        for sign, number in zip(signs, numbers, strict=True):
            page.sign(sign, number)
    page.print_directions()


def _numbers(stretches: Sequence[Sequence[int]]) -> list[int]:
    """For each stretch (from, to) a number that no other has which it meets."""
    closed: dict[int, int] = {}
    found: dict[int, int] = {}
    for place, (start, end) in sorted(enumerate(stretches), key=lambda s: tuple(s[1])):
        found[place] = next(n for n in range(1, len(stretches) + 1) if closed.get(n, -1) < start)
        closed[found[place]] = end
    return [found[place] for place in range(len(stretches))]


@dataclass(slots=True)
class _Stop:
    """A note or rest (the first of its chord) in a bar of a staff; ``place`` is its place among the bar's elements."""

    element: Element
    place: int
    onset: int
    end: int
    grace: bool
    rest: bool


@dataclass(slots=True)
class _Page:
    """Where everything stands: notes by id, the first note of each one's chord, when that is struck, their order in
    the file, and for each bar and staff its stops.

    ``units`` is how many divisions one tick is; ``inserted`` the directions to come, by bar and place.
    """

    score: Score
    units: int
    measures: list[tuple[Element, Bar]] = field(default_factory=list)
    notes: dict[str, Element] = field(default_factory=dict)
    chords: dict[str, Element] = field(default_factory=dict)
    onsets: dict[str, int] = field(default_factory=dict)
    order: dict[str, int] = field(default_factory=dict)
    stops: dict[tuple[int, int], list[_Stop]] = field(default_factory=lambda: defaultdict(list))
    measure_of: dict[tuple[int, int], int] = field(default_factory=dict)
    staff_in_part: dict[int, int] = field(default_factory=dict)
    inserted: dict[int, list[tuple[int, Element]]] = field(default_factory=lambda: defaultdict(list))

    @classmethod
    def of(cls, tree: Element, score: Score) -> _Page:
        divisions = int(tree.findtext("part/measure/attributes/divisions") or 1)
        page = cls(score, divisions // score.ticks_per_quarter)
        before = 0
        for part in tree.iter("part"):
            staves = max([1, *(int(e.text or 1) for e in part.iter("staves"))])
            for staff in range(1, staves + 1):
                page.staff_in_part[before + staff] = staff if staves > 1 else 0
            for bar, measure in zip(score.bars, part.iter("measure"), strict=True):
                page._read(measure, bar, before, staves)
            before += staves
        return page

    def _read(self, measure: Element, bar: Bar, before: int, staves: int) -> None:
        number = len(self.measures)
        self.measures.append((measure, bar))
        for staff in range(before + 1, before + staves + 1):
            self.measure_of[bar.index, staff] = number
        at = 0
        first = measure
        for place, element in enumerate(measure):
            length = int(element.findtext("duration") or 0)
            if element.tag == "backup":
                at -= length
            elif element.tag == "forward":
                at += length
            elif element.tag == "note":
                if element.find("chord") is None:
                    first = element
                    staff = before + int(element.findtext("staff") or 1)
                    onset, end = bar.onset + at // self.units, bar.onset + (at + length) // self.units
                    grace, rest = element.find("grace") is not None, element.find("rest") is not None
                    self.stops[bar.index, staff].append(_Stop(element, place, onset, end, grace, rest))
                    at += length
                    self.onsets[element.get("id", "")] = onset
                name = element.get("id", "")
                self.notes[name], self.chords[name], self.order[name] = element, first, len(self.order)

    def mark(self, mark: NoteMark, heads: Sequence[str]) -> None:
        """Put an articulation at the first of tied notes, a fermata at the last, once for a chord."""
        if not heads:
            return
        head = heads[-1] if mark.kind == "fermata" else heads[0]
        if mark.kind == "fingering":
            technical = _child(_notations(self.notes[head]), "technical")
            SubElement(technical, "fingering").text = mark.text
            return
        notations = _notations(self.chords[head])
        if mark.kind == "fermata":
            _child(notations, "fermata").set("type", "upright")
        else:
            _child(_child(notations, "articulations"), mark.text)

    def ends(self, slur: Slur, heads: Mapping[str, Sequence[str]]) -> tuple[str, str]:
        """The written notes that a slur joins: of tied ones those that are struck where it begins and ends."""
        first, last = heads[slur.first], heads[slur.last]
        begin = [name for name in first if self._onset(name) <= slur.onset] or first[:1]
        end = [name for name in last if self._onset(name) <= slur.end] or last[:1]
        return begin[-1], end[-1]

    def slur(self, slur: Slur, number: int, first: str, last: str) -> None:
        """Put the two ends of a slur at the notes called ``first`` and ``last``."""
        for name, way in ((first, "start"), (last, "stop")):
            element = Element("slur", {"number": str(number), "type": way})
            if slur.placement and way == "start":
                element.set("placement", slur.placement)
            notations = _notations(self.notes[name])
            notations.insert(_rank(notations, "slur"), element)

    def _onset(self, name: str) -> int:
        """The tick at which a written note is struck."""
        return self.onsets[self.chords[name].get("id", "")]

    def sign(self, sign: Sign, number: int) -> None:
        """Put a sign where it stands; a stretch also where it ends."""
        staff = self.staff_in_part.get(sign.staff, 0)
        if sign.kind == "fermata":
            self._rest_fermata(sign)
        elif sign.kind == "octave":
            self._octave_sign(sign, number, staff)
        elif sign.kind in ("hairpin", "pedal"):
            self._insert(sign.staff, sign.onset, beginning_of(sign, number, staff))
            if sign.end > sign.onset:
                self._insert_behind(sign.staff, sign.end, ending_of(sign, number, staff))
        else:
            self._insert(sign.staff, sign.onset, sign_at(sign, staff))

    def _octave_sign(self, sign: Sign, number: int, staff: int) -> None:
        """Around all that stands under it, which ``octave_order`` has put together: programs take it to hold for what
        comes between its two ends in the file."""
        bars = [b for b in self.score.bars if b.onset < sign.end and b.end > sign.onset]
        stops = [(b, s) for b in bars for s in self.stops[b.index, sign.staff] if not s.rest]
        under = [k for k, (_, s) in enumerate(stops) if sign.onset <= s.onset < sign.end]
        if not under:
            return
        (first_bar, first), (last_bar, last) = stops[under[0]], stops[under[-1]]
        begin, end = beginning_of(sign, number, staff), ending_of(sign, number, staff)
        self._shift(begin, sign.onset - first.onset)
        self._shift(end, sign.end - last.end)
        self.inserted[self.measure_of[first_bar.index, sign.staff]].append((first.place, begin))
        self.inserted[self.measure_of[last_bar.index, sign.staff]].append(
            (self._behind(last_bar, sign.staff, last), end)
        )

    def _rest_fermata(self, sign: Sign) -> None:
        bar = self.score.bar_at(sign.onset)
        stops = self.stops[bar.index, sign.staff]
        rest = next((s for s in stops if s.rest and s.onset <= sign.onset < s.end), None)
        if rest is not None:
            _child(_notations(rest.element), "fermata").set("type", "upright")

    def _insert(self, staff: int, tick: int, direction: Element) -> None:
        bar = self.score.bar_at(tick)
        stops = self.stops[bar.index, staff]
        there = next((s for s in stops if s.onset == tick), None)
        if there is None:
            before = [s for s in stops if s.onset < tick]
            there = max(before, key=lambda s: (s.onset, -s.place), default=None)
        if there is None:
            return
        self._shift(direction, tick - there.onset)
        self.inserted[self.measure_of[bar.index, staff]].append((there.place, direction))

    def _insert_behind(self, staff: int, tick: int, direction: Element) -> None:
        bar = self.score.bar_at(tick - 1)
        ended = next((s for s in self.stops[bar.index, staff] if s.end == tick and not s.grace), None)
        if ended is None:
            self._insert(staff, tick, direction)
            return
        self.inserted[self.measure_of[bar.index, staff]].append((self._behind(bar, staff, ended), direction))

    def _behind(self, bar: Bar, staff: int, stop: _Stop) -> int:
        """The place behind a note and all of its chord."""
        children = list(self.measures[self.measure_of[bar.index, staff]][0])
        place = stop.place + 1
        while place < len(children) and children[place].tag == "note" and children[place].find("chord") is not None:
            place += 1
        return place

    def _shift(self, direction: Element, ticks: int) -> None:
        """Have a direction hold from ``ticks`` after the place where it is written."""
        if ticks:
            offset = Element("offset")
            offset.text = str(ticks * self.units)
            types = [place for place, child in enumerate(direction) if child.tag == "direction-type"]
            direction.insert(types[-1] + 1, offset)

    def print_directions(self) -> None:
        """Put all directions in, ends before beginnings where they meet."""
        for number, directions in self.inserted.items():
            measure = self.measures[number][0]
            ordered = sorted(directions, key=lambda d: (d[0], d[1].find("direction-type/*[@type='stop']") is None))
            for place, direction in reversed(ordered):
                measure.insert(place, direction)


def _notations(note: Element) -> Element:
    """The ``notations`` of a note, made where they belong if it has none: before what is sung."""
    found = note.find("notations")
    if found is None:
        found = Element("notations")
        place = next((k for k, child in enumerate(note) if child.tag in ("lyric", "play")), len(note))
        note.insert(place, found)
    return found


def _child(parent: Element, name: str) -> Element:
    found = parent.find(name)
    if found is None:
        found = Element(name)
        parent.insert(_rank(parent, name), found)
    return found


def _rank(notations: Element, name: str) -> int:
    """Where an element called ``name`` belongs among the others."""
    if name not in _NOTATIONS:
        return len(notations)
    rank = _NOTATIONS.index(name)
    later = (k for k, e in enumerate(notations) if e.tag in _NOTATIONS and _NOTATIONS.index(e.tag) > rank)
    return next(later, len(notations))
