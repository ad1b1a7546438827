"""When the notes of a MusicXML file sound, from its own durations.

MusicXML gives a value twice: as a symbol (type, dots, tuplet), exact, and in divisions of a quarter, rounded where
they do not divide. The symbol counts where the two agree but for rounding, else the divisions. ``backup`` and
``forward`` are in divisions only; the places they lead to are the exact ones passed before, or the simplest nearby. One
so short that it only makes up for rounding, as between the notes of a tuplet of nineteen, leads nowhere.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``note``, ``duration``,
``time-modification``, ``backup``, ``forward``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

import defusedxml.ElementTree as SafeTree

from sitegen.fifths import LETTERS
from sitegen.score.bar_lengths import ROUNDING, VoiceReach
from sitegen.score.musicxml_values import number, symbol_of, value_of
from sitegen.score.nouns import Pitch
from sitegen.score.sounding import Transposition, transposition
from sitegen.score.sources import Source

_FINEST, _PLAIN = 64, 16
_CLEF_SIGNS = ("G", "F", "C")


@dataclass(frozen=True, slots=True)
class NotePlace:
    """Where a note stands: the bar's index, then ``onset`` in it and ``duration`` in quarters; the ``pitch`` that
    sounds; its ends of ties."""

    bar: int
    onset: Fraction
    duration: Fraction
    pitch: Pitch
    tie_start: bool
    tie_stop: bool


@dataclass(frozen=True, slots=True)
class ClefPlace:
    """A clef: ``staff`` counted through all parts from 1, ``onset`` in quarters from the bar line."""

    staff: int
    bar: int
    onset: Fraction
    clef: tuple[str, int, int]


@dataclass(frozen=True, slots=True)
class FoundElement:
    """A note, rest or direction of a file with its bar and onset in quarters; ``staff`` counted through all parts."""

    element: Element
    part: int
    staff: int
    voice: str
    place: tuple[int, Fraction]


@dataclass(slots=True)
class Times:
    """``places`` by note id; for each bar where its last note or visible rest ends, where anything does, and how far
    each voice reaches, by part and name. ``notes`` (rests too) and ``directions`` are in the file's order.
    ``tied_tempi`` are the metronome marks of tied notes: bar, quarters a minute."""

    places: dict[str, NotePlace] = field(default_factory=dict)
    contents: dict[int, Fraction] = field(default_factory=dict)
    filled: dict[int, Fraction] = field(default_factory=dict)
    voices: dict[int, dict[tuple[int, str], VoiceReach]] = field(default_factory=dict)
    clefs: list[ClefPlace] = field(default_factory=list)
    notes: list[FoundElement] = field(default_factory=list)
    directions: list[FoundElement] = field(default_factory=list)
    tied_tempi: list[tuple[int, float]] = field(default_factory=list)


def read_times(source: Source) -> Times:
    """The times of a MusicXML source, whose lengths have been mended."""
    times = Times()
    staves = 0
    for part_number, part in enumerate(SafeTree.fromstring(source.text).iter("part")):
        cursor = _Cursor(part_number, staves, times)
        for index, measure in enumerate(part.iter("measure")):
            cursor.measure(index, measure)
        staves += max((int(number(e.text) or 1) for e in part.iter("staves")), default=1)
    return times


@dataclass(slots=True)
class _Cursor:
    """Walks one part: ``tick`` in divisions and ``at`` in quarters are the same place, rounded and exact."""

    part: int
    staves_above: int
    times: Times
    divisions: Fraction = Fraction(1)
    bar: int = 0
    tick: Fraction = Fraction(0)
    at: Fraction = Fraction(0)
    onset: Fraction = Fraction(0)
    known: dict[Fraction, Fraction] = field(default_factory=dict)
    transposed: dict[int, Transposition] = field(default_factory=dict)
    transposed_all: Transposition = field(default_factory=Transposition)

    def measure(self, index: int, measure: Element) -> None:
        self.bar = index
        self.tick = self.at = self.onset = Fraction(0)
        self.known = {Fraction(0): Fraction(0)}
        for element in measure:
            if element.tag == "note":
                self._note(element)
            elif element.tag in ("backup", "forward"):
                self._move(self._divisions_of(element) * (1 if element.tag == "forward" else -1))
            elif element.tag == "attributes":
                self._attributes(element)
            elif element.tag == "direction":
                offset = (number(element.findtext("offset")) or Fraction(0)) / self.divisions
                self.times.directions.append(self._standing(element, max(Fraction(0), self.at + offset)))
                for mark in element.iter("metronome"):
                    self._tied_tempo(mark)
        self.times.contents.setdefault(index, Fraction(0))

    def _note(self, note: Element) -> None:
        grace = note.find("grace") is not None
        length = Fraction(0) if grace else self._length(note)
        if note.find("chord") is None:
            self.onset = self.at
            if not grace:
                self.at += length
                self.tick += self._divisions_of(note, length)
                self.known[self.tick] = self.at
        self.times.notes.append(self._standing(note, self.onset))
        end = self.onset + length
        seen = note.find("rest") is None or note.get("print-object") != "no"
        self._reach(end, seen)
        if seen and not grace and note.find("chord") is None:
            voices = self.times.voices.setdefault(self.bar, {})
            voice = voices.setdefault((self.staves_above, note.findtext("voice", "").strip()), VoiceReach())
            voice.goes_on(self.onset, length, note.find("rest") is None)
        ties = {e.get("type") for e in note.iter() if e.tag in ("tie", "tied")}
        name, pitch = note.get("id"), self._pitch(note)
        if name and pitch is not None:
            self.times.places[name] = NotePlace(self.bar, self.onset, length, pitch, "start" in ties, "stop" in ties)

    def _pitch(self, note: Element) -> Pitch | None:
        """The pitch that sounds, by step, alter and octave alone: an accidental only shows it."""
        pitch = note.find("pitch")
        if pitch is None:
            return None
        step, octave = pitch.findtext("step", "").strip(), number(pitch.findtext("octave"))
        if step not in tuple(LETTERS) or octave is None:
            return None
        written = Pitch(step, int(number(pitch.findtext("alter")) or 0), int(octave))
        return self.transposed.get(int(number(note.findtext("staff")) or 1), self.transposed_all).of(written)

    def _tied_tempo(self, mark: Element) -> None:
        speed = number(mark.findtext("per-minute"))
        if mark.find("beat-unit-tied") is None or speed is None:
            return
        value, last = Fraction(0), Fraction(0)
        for element in mark.iter():
            if element.tag == "beat-unit":
                last = value_of((element.text or "").strip()) or Fraction(0)
                value += last
            elif element.tag == "beat-unit-dot":
                last /= 2
                value += last
        self.times.tied_tempi.append((self.bar, float(value * speed)))

    def _standing(self, element: Element, at: Fraction) -> FoundElement:
        staff = self.staves_above + int(number(element.findtext("staff")) or 1)
        return FoundElement(element, self.part, staff, element.findtext("voice") or "", (self.bar, at))

    def _length(self, note: Element) -> Fraction:
        """The length of a note in quarters, exact where the symbol allows."""
        symbol = symbol_of(note)
        divisions = self._divisions_of(note, symbol)
        length = divisions / self.divisions
        if symbol is not None and (symbol * self.divisions).denominator > 1:
            length = symbol if abs(symbol * self.divisions - divisions) < 1 else length
        return length

    def _divisions_of(self, element: Element, otherwise: Fraction | None = None) -> Fraction:
        """The ``duration`` of an element; where it is missing, ``otherwise`` (quarters) in divisions."""
        found = number(element.findtext("duration"))
        if found is None and otherwise is not None:
            return otherwise * self.divisions
        return found or Fraction(0)

    def _move(self, divisions: Fraction) -> None:
        """Follow a ``backup`` or ``forward``."""
        self.tick += divisions
        exact = self.tick / self.divisions
        if self.tick in self.known:
            self.at = self.known[self.tick]
        elif exact.denominator <= _PLAIN or (exact.denominator <= _FINEST and abs(self.at - exact) > ROUNDING):
            self.at = exact
        elif abs(self.at - exact) > ROUNDING:
            self.at = _simplest(exact)
        self.at = max(self.at, Fraction(0))
        self._reach(self.at, False)

    def _reach(self, end: Fraction, content: bool) -> None:
        self.times.filled[self.bar] = max(self.times.filled.get(self.bar, Fraction(0)), end)
        if content:
            self.times.contents[self.bar] = max(self.times.contents.get(self.bar, Fraction(0)), end)

    def _attributes(self, attributes: Element) -> None:
        divisions = number(attributes.findtext("divisions"))
        if divisions is not None and divisions > 0 and divisions != self.divisions:
            scale = divisions / self.divisions
            self.known = {tick * scale: exact for tick, exact in self.known.items()}
            self.tick *= scale
            self.divisions = divisions
        for element in attributes.iter("transpose"):
            values = (number(element.findtext(name)) for name in ("diatonic", "chromatic", "octave-change"))
            steps, semitones, octaves = (None if value is None else int(value) for value in values)
            found, own = transposition(steps, semitones, octaves or 0), number(element.get("number"))
            if own is None:
                self.transposed_all, self.transposed = found, {}
            else:
                self.transposed[int(own)] = found
        for element in attributes.iter("clef"):
            sign, line = element.findtext("sign", "").strip(), number(element.findtext("line"))
            if sign in _CLEF_SIGNS:
                shift = number(element.findtext("clef-octave-change")) or Fraction(0)
                clef = sign, int(line or {"G": 2, "F": 4, "C": 3}[sign]), int(shift)
                staff = self.staves_above + int(number(element.get("number")) or 1)
                self.times.clefs.append(ClefPlace(staff, self.bar, self.at, clef))


def _simplest(value: Fraction) -> Fraction:
    """The fraction with the smallest denominator within ``ROUNDING`` of ``value``."""
    candidates = (Fraction(round(value * d), d) for d in range(1, _FINEST + 1))
    return next((c for c in candidates if abs(c - value) <= ROUNDING), value)
