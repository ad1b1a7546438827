"""Walking one layer of one staff in one bar: every event with its exact place and length in quarter notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.score.bar_lengths import VoiceReach
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
    small: bool = False
    printed: bool = True


@dataclass(slots=True)
class Layer:
    """What a layer holds: its events, clef changes (onset, clef), and how far it reaches.

    ``filled`` is where the walk stands, ``reach`` how far its notes and rests go, in quarters.
    ``whole_bar`` is set where a sign stands for the full bar (a bar's rest), ``repeats`` where it says to play the
    bar before again.
    """

    events: list[Event] = field(default_factory=list)
    clefs: list[tuple[Fraction, tuple[str, int, int]]] = field(default_factory=list)
    filled: Fraction = Fraction(0)
    reach: VoiceReach = field(default_factory=VoiceReach)
    whole_bar: bool = False
    repeats: bool = False

    @property
    def content(self) -> Fraction:
        """The end of the last note or rest."""
        return self.reach.end

    def advance(self, length: Fraction, sounds: bool) -> None:
        """Move past a note or rest."""
        self.reach.goes_on(self.filled, length, sounds)
        self.filled += length


def read_layer(element: Element) -> Layer:
    """Walk a ``layer`` element."""
    layer = Layer()
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
        layer.advance((duration(element) or Fraction(0)) * ratio, False)
    elif name == "space":
        layer.filled += (duration(element) or Fraction(0)) * ratio
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
    held = Fraction(0) if grace else (length or Fraction(0)) * ratio
    if not grace:
        layer.advance(held, True)
    for note in notes:
        own = note.get("staff")
        where = int(own) if own and own.isdigit() else staff
        parent = element if element is not note else None
        # the stroke through a grace note's stem is written as a tremolo's is
        tremolo_here = not grace and (tremolo or bool(note.get("stem.mod") or element.get("stem.mod")))
        own_and_chord = (note, element)
        small = any(e.get("cue") == "true" for e in own_and_chord)
        printed = all(e.get("visible") != "false" for e in own_and_chord)
        layer.events.append(Event(note, onset, held, where, grace, chord, parent, tremolo_here, small, printed))
