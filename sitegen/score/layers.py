"""Walking one layer of one staff in one bar: every event with its exact place and length in quarter notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.score.mei_values import clef, duration, tag, tuplet_ratio

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_TRANSPARENT = {"beam", "graceGrp", "supplied", "corr", "reg", "add", "sic", "orig", "unclear", "ligature", "restore"}
_FIRST_CHILD = {"app", "choice", "subst"}
_READINGS = {"lem", "rdg"}


@dataclass(slots=True)
class Event:
    """A note (one of a chord's, or alone) as found: ``onset`` and ``duration`` in quarters from the bar line."""

    element: Element
    onset: Fraction
    duration: Fraction
    staff: int | None
    grace: bool
    chord: str
    parent: Element | None = None
    tremolo: bool = False


@dataclass(slots=True)
class Layer:
    """What a layer holds: its events, clef changes (onset, clef), and how far it reaches.

    ``filled`` is where the walk stands, ``content`` the end of the last note or rest, both in quarters.
    ``whole_bar`` is set where a sign stands for the full bar (a bar's rest), ``repeats`` where it says to play the
    bar before again.

    MusicXML gives each value twice: as a symbol, exact, and in divisions (``ppq`` to the quarter), rounded.
    The symbol is taken where the two agree within rounding, else the divisions; ``ticks`` counts divisions, and
    ``slack`` how many roundings they have gathered.
    """

    ppq: int | None = None
    events: list[Event] = field(default_factory=list)
    clefs: list[tuple[Fraction, tuple[str, int, int]]] = field(default_factory=list)
    filled: Fraction = Fraction(0)
    content: Fraction = Fraction(0)
    ticks: int = 0
    slack: int = 0
    whole_bar: bool = False
    repeats: bool = False

    def advance(self, element: Element, written: Fraction) -> Fraction:
        """Move past a note or rest of the ``written`` length; returns the length it really has."""
        divisions = self._divisions(element)
        length = written
        if divisions is not None and self.ppq:
            self.ticks += divisions
            if abs(written * self.ppq - divisions) > 1:
                length = Fraction(divisions, self.ppq)
        self.filled += length
        self._settle()
        self.content = self.filled
        return length

    def skip(self, element: Element, written: Fraction) -> None:
        """Move past an invisible gap. Gaps that only make up for roundings move nothing."""
        divisions = self._divisions(element)
        if divisions is None or not self.ppq:
            self.filled += written
            return
        self.ticks += divisions
        if abs(self.filled * self.ppq - self.ticks) > self._tolerance():
            self.filled = _simplest(self.ticks, self._tolerance(), self.ppq)

    def near(self, length: Fraction) -> bool:
        """Whether the content ends at ``length`` but for roundings."""
        return self.ppq is not None and abs(self.content - length) * self.ppq <= self._tolerance()

    def _divisions(self, element: Element) -> int | None:
        text = element.get("dur.ppq")
        return int(text) if text and self.ppq else None

    def _tolerance(self) -> int:
        return max(self.slack, (self.ppq or 0) // 96)

    def _settle(self) -> None:
        if self.ppq:
            exact = self.filled * self.ppq == self.ticks
            self.slack = 0 if exact else self.slack + 1


def _simplest(ticks: int, tolerance: int, ppq: int) -> Fraction:
    """The fraction with the smallest denominator within ``tolerance`` divisions of ``ticks``."""
    for denominator in range(1, ppq + 1):
        numerator = round(Fraction(ticks * denominator, ppq))
        if abs(Fraction(numerator * ppq, denominator) - ticks) <= tolerance:
            return Fraction(numerator, denominator)
    return Fraction(ticks, ppq)


def read_layer(element: Element, ppq: int | None) -> Layer:
    """Walk a ``layer`` element; ``ppq`` is the divisions a quarter of its staff, where the source gives them."""
    layer = Layer(ppq)
    for child in _content(element):
        _walk(child, layer, Fraction(1), None, False, False)
    return layer


def _content(element: Element) -> Iterator[Element]:
    """The children that count as music: of alternatives, the first."""
    for child in element:
        name = tag(child)
        if name in _FIRST_CHILD:
            chosen = next((c for c in child if tag(c)), None)
            if chosen is not None:
                yield from _content(chosen)
        elif name:
            yield child


def _walk(element: Element, layer: Layer, ratio: Fraction, staff: int | None, grace: bool, tremolo: bool) -> None:
    name = tag(element)
    own_staff = element.get("staff")
    staff = int(own_staff) if own_staff and own_staff.isdigit() else staff
    if name in ("note", "chord"):
        _add_notes(element, layer, ratio, staff, grace, tremolo)
    elif name == "rest":
        layer.advance(element, (duration(element) or Fraction(0)) * ratio)
    elif name == "space":
        layer.skip(element, (duration(element) or Fraction(0)) * ratio)
    elif name in ("mRest", "mSpace", "multiRest"):
        layer.whole_bar = True
    elif name in ("mRpt", "mRpt2", "multiRpt", "beatRpt", "halfmRpt"):
        layer.repeats = True
    elif name == "tuplet":
        for child in _content(element):
            _walk(child, layer, ratio * tuplet_ratio(element), staff, grace, tremolo)
    elif name == "bTrem":
        for child in _content(element):
            _walk(child, layer, ratio, staff, grace, True)
    elif name == "fTrem":
        # each of the two is written with the whole value, and they share it
        for child in _content(element):
            _walk(child, layer, ratio / 2, staff, grace, True)
    elif name == "clef":
        found = clef(element)
        if found:
            layer.clefs.append((layer.filled, found))
    elif name in _TRANSPARENT or name in _READINGS:
        for child in _content(element):
            _walk(child, layer, ratio, staff, grace or name == "graceGrp", tremolo)


def _add_notes(element: Element, layer: Layer, ratio: Fraction, staff: int | None, grace: bool, tremolo: bool) -> None:
    notes = [element] if tag(element) == "note" else [e for e in element.iter() if tag(e) == "note"]
    chord = element.get(XML_ID, "") if tag(element) == "chord" else ""
    grace = grace or bool(element.get("grace")) or bool(notes and notes[0].get("grace"))
    length = duration(element)
    if length is None and notes:
        length = next((d for d in map(duration, notes) if d is not None), None)
    onset = layer.filled
    held = Fraction(0) if grace else layer.advance(element, (length or Fraction(0)) * ratio)
    for note in notes:
        own = note.get("staff")
        where = int(own) if own and own.isdigit() else staff
        parent = element if element is not note else None
        tremolo_here = tremolo or bool(note.get("stem.mod") or element.get("stem.mod"))
        layer.events.append(Event(note, onset, held, where, grace, chord, parent, tremolo_here))
