"""MusicXML bars whose lengths cannot be, mended before anything reads or draws them.

What a musician does who meets such a bar: a note without a length has that of its symbol; one whose length overruns the
bar while its symbol fits has that of its symbol too; one that lasts nothing is played as a grace; a voice that enters
late and overruns the bar is begun at the bar line if it fills the bar from there, or fits it and was never taken back
(its ``backup`` was lost); nothing is played before the bar line; a gap does not lead out of the bar. What overruns all
the same is left to ``bar_lengths.py``. Each is said.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from sitegen.score.bar_lengths import ROUNDING
from sitegen.score.musicxml_values import number, symbol_of
from sitegen.score.oddities import Oddities

LONGEST = 512
"""Quarter notes: no note, rest or gap lasts longer, not in the longest cadenza."""

_CHECK = "Check the voices of the bar in a notation editor."


def mend_bars(part: Element, odd: Oddities) -> None:
    """Put right the lengths of one part, whose ``divisions`` and time signatures can be read."""
    mender = _Mender(odd)
    for measure in part.iter("measure"):
        mender.measure(measure)


@dataclass(slots=True)
class _Mender:
    """Walks a part: ``at`` is where in the bar, ``reached`` how far anything goes, both in quarters from the bar line;
    ``full`` is the length of a bar of the metre, ``begun`` are the voices met in the bar, ``moved`` says
    that a ``backup`` or ``forward`` led here."""

    odd: Oddities
    divisions: Fraction = Fraction(1)
    full: Fraction = Fraction(4)
    bar: str = ""
    at: Fraction = Fraction(0)
    reached: Fraction = Fraction(0)
    moved: bool = False
    begun: set[str] = field(default_factory=set)

    def measure(self, measure: Element) -> None:
        self.bar, self.at, self.reached = f"bar {measure.get('number')}", Fraction(0), Fraction(0)
        self.begun, self.moved = set(), False
        before: Element | None = None
        for element in list(measure):
            if element.tag == "attributes":
                self._attributes(element)
            elif element.tag == "note":
                before = self._note(measure, element, before)
            elif element.tag in ("backup", "forward"):
                self._back(measure, element) if element.tag == "backup" else self._forward(measure, element)
                before, self.moved = None, True

    def _say(self, what: str, remedy: str) -> None:
        self.odd.add(self.bar, what, remedy)

    def _attributes(self, attributes: Element) -> None:
        self.divisions = number(attributes.findtext("divisions")) or self.divisions
        beats, unit = attributes.findtext("time/beats"), number(attributes.findtext("time/beat-type"))
        if beats and unit:
            self.full = sum((number(b) or Fraction(0) for b in beats.split("+")), Fraction(0)) * 4 / unit

    def _note(self, measure: Element, note: Element, before: Element | None) -> Element | None:
        """Mend a note or rest; returns the one that a chord's further notes belong to."""
        chord, grace = note.find("chord"), note.find("grace") is not None
        if chord is not None and (before is None or (before.find("grace") is not None) != grace):
            note.remove(chord)
            chord = None
            self._say("a chord has lost its first note; the others are read", _CHECK)
        if grace:
            return note
        if chord is not None:
            self._mend_length(measure, note, before)
            return before
        self._begin(measure, note)
        if not self._mend_length(measure, note, None):
            return before
        if note.find("grace") is None:
            self.at += self._quarters(note) or Fraction(0)
            self.reached = max(self.reached, self.at)
        return note

    def _begin(self, measure: Element, note: Element) -> None:
        """Take a voice back to the bar line if it was meant to begin there."""
        voice = note.findtext("voice", "").strip()
        if voice not in self.begun and self.begun and self.at > ROUNDING:
            runs = self._run(measure, note)
            if self.full < self.at + runs and (runs == self.full or (runs < self.full and not self.moved)):
                back = Element("backup")
                SubElement(back, "duration").text = str(round(self.at * self.divisions))
                measure.insert(list(measure).index(note), back)
                self.at = Fraction(0)
                self._say("a voice enters late and overruns the bar; it is read from the bar line", _CHECK)
        self.moved = False
        self.begun.add(voice)

    def _run(self, measure: Element, first: Element) -> Fraction:
        """How long a voice goes on from ``first`` to the next ``backup``, as far as its lengths can be read."""
        elements = list(measure)
        length = Fraction(0)
        for element in elements[elements.index(first) :]:
            if element.tag == "backup":
                break
            if element.tag in ("note", "forward") and element.find("chord") is None and element.find("grace") is None:
                found = self._quarters(element)
                length += found if found is not None and 0 < found <= LONGEST else symbol_of(element) or Fraction(0)
        return length

    def _quarters(self, element: Element) -> Fraction | None:
        """The length that an element gives in divisions, in quarters."""
        found = number(element.findtext("duration"))
        return None if found is None else found / self.divisions

    def _mend_length(self, measure: Element, note: Element, main: Element | None) -> bool:
        """Give a note (of the chord that ``main`` begins, if any) a length that can be. False where it is left out."""
        length, symbol = self._quarters(note), symbol_of(note)
        if length is None and symbol is not None and note.find("duration") is None:
            self._set(note, symbol)  # nothing is odd: the symbol says it all
            return True
        if length is not None and 0 < length <= self._longest(symbol):
            return True
        what = "rest" if note.find("rest") is not None else "note"
        said = f"a {what} has no length" if length is None else f"a {what} lasts {_told(length)} quarter notes"
        remedy = "Correct its length in a notation editor."
        chord = self._quarters(main) if main is not None else None
        self._set(note, Fraction(0))
        lacks = self.full - self.at - self._run(measure, note) + (symbol or 0)
        if chord is not None:
            self._set(note, chord)
            self._say(f"{said}; it is read as long as its chord", remedy)
        elif symbol is not None and (length != 0 or symbol <= lacks):
            self._set(note, symbol)
            self._say(f"{said}; it is read as its symbol says", remedy)
        elif symbol is None and lacks > 0:
            self._set(note, lacks)
            self._say(f"{said}; it is read to fill the bar", remedy)
        elif what == "rest":
            measure.remove(note)
            self._say(f"{said}; it is left out", remedy)
            return False
        elif length == 0:
            for element in note.findall("duration") + note.findall("tie"):
                note.remove(element)
            note.insert(0, Element("grace"))
            self._say(f"{said}; it is read as a grace note", remedy)
        else:
            self._set(note, Fraction(1))
            self._say(f"{said} and has no symbol; it is read as a quarter", remedy)
        return True

    def _longest(self, symbol: Fraction | None) -> Fraction:
        """The longest that a note can last: not beyond the bar by more than twice what its symbol says."""
        return max(self.full, 2 * symbol) if symbol is not None and symbol <= self.full else Fraction(LONGEST)

    def _set(self, note: Element, quarters: Fraction) -> None:
        element = note.find("duration")
        if element is None:
            element = Element("duration")
            heads = [i for i, e in enumerate(note) if e.tag in ("grace", "chord", "cue", "pitch", "rest", "unpitched")]
            note.insert(max(heads, default=-1) + 1, element)
        divisions = quarters * self.divisions
        element.text = str(max(1, round(divisions)) if divisions else 0)

    def _back(self, measure: Element, backup: Element) -> None:
        """A ``backup`` leads to the bar line at most."""
        length = self._quarters(backup)
        if length is None or length <= 0 or length > self.at:
            if length is None or abs(length - self.at) * self.divisions >= 1:
                self._say("a voice is taken back to no place in the bar; it is read from the bar line", _CHECK)
            length = self.at
            if length == 0:
                measure.remove(backup)
                return
            self._set(backup, length)
        self.at -= length

    def _forward(self, measure: Element, forward: Element) -> None:
        """A ``forward`` does not lead out of the bar."""
        length = self._quarters(forward)
        beyond = length is not None and length > self.full and self.at + length > max(self.full, self.reached)
        if length is None or length < 0 or beyond:
            measure.remove(forward)
            self._say("a gap leads out of the bar; it is left out", _CHECK)
            return
        self.at += length
        self.reached = max(self.reached, self.at)


def _told(value: Fraction) -> str:
    return str(value) if value.denominator <= 8 else f"{float(value):.2f}"
