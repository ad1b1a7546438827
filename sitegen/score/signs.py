"""Signs beside the notes of a bar: ties, slurs, ornaments, fermatas, arpeggios, tempo."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.score.layers import XML_ID
from sitegen.score.lettering import tempo_in_words
from sitegen.score.mei_values import tag, value_of
from sitegen.score.nouns import Metre

# a note value, in a music font's private characters or as a letter-like sign, with what it equals
_METRONOME = re.compile(r"\s*[(\[]?\s*[\ue000-\uf8ff\u2669-\u266c\U0001d15e-\U0001d164][^=]*=.*$")
SLOWEST, FASTEST = 4.0, 2000.0
"""Quarters a minute that a metronome mark can mean: a long at 120, a 64th at 60."""
_ORNAMENTS = ("trill", "mordent", "turn", "ornam")


@dataclass(slots=True)
class Marks:
    """What stands at one note."""

    ornaments: tuple[str, ...] = ()
    arpeggio: bool = False
    fermata: bool = False
    slur_start: bool = False
    slur_end: bool = False


@dataclass(frozen=True, slots=True)
class TempoFound:
    """A tempo mark: ``at`` in quarters from the bar line, ``speed`` as it sounds and ``figure`` as it is printed, both
    in quarters a minute and 0 for none."""

    bar: int
    at: Fraction
    speed: float
    text: str
    figure: float


@dataclass(slots=True)
class Signs:
    """Every sign of the score, by the id it names or the place (bar, quarters, staff) where it stands."""

    by_id: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    by_place: dict[tuple[int, Fraction, int], list[str]] = field(default_factory=lambda: defaultdict(list))
    tie_ends: dict[str, str] = field(default_factory=dict)
    tempi: list[TempoFound] = field(default_factory=list)
    repeat_after: set[int] = field(default_factory=set)

    def at(self, names: Iterable[str], bar: int, onset: Fraction, staff: int) -> Marks:
        """The marks of the note or chord called one of ``names``, or standing at the place."""
        found = [sign for name in names for sign in self.by_id.get(name, ())]
        found += self.by_place.get((bar, onset, staff), ())
        ornaments = tuple(dict.fromkeys(s for s in found if s.split()[-1] in _ORNAMENTS))
        return Marks(ornaments, "arpeg" in found, "fermata" in found, "slur start" in found, "slur end" in found)


def collect_signs(measure: Element, bar: int, metre: Metre, signs: Signs) -> None:
    """Add the signs of one measure to ``signs``."""
    for element in measure:
        name = tag(element)
        if name == "tie":
            start, end = _ids(element, "startid"), _ids(element, "endid")
            if start and end:
                signs.tie_ends[start[0]] = end[0]
        elif name == "slur":
            for which, sign in (("startid", "slur start"), ("endid", "slur end")):
                for target in _ids(element, which):
                    signs.by_id[target].append(sign)
        elif name in (*_ORNAMENTS, "fermata"):
            _place(element, _ornament_name(element), bar, metre, signs)
        elif name == "arpeg":
            for target in (*_ids(element, "startid"), *_ids(element, "plist")):
                signs.by_id[target].append("arpeg")
        elif name == "tempo":
            _tempo(element, bar, metre, signs)
    for element in measure.iter():
        if element.get("fermata"):
            signs.by_id[element.get(XML_ID, "")].append("fermata")


def _ids(element: Element, attribute: str) -> list[str]:
    return [name.lstrip("#") for name in (element.get(attribute) or "").split()]


def _ornament_name(element: Element) -> str:
    name = tag(element)
    if name == "mordent" and element.get("form") == "upper":
        return "upper mordent"
    if name == "turn" and element.get("form") == "lower":
        return "inverted turn"
    return name


def _place(element: Element, sign: str, bar: int, metre: Metre, signs: Signs) -> None:
    targets = _ids(element, "startid")
    for target in targets:
        signs.by_id[target].append(sign)
    stamp = _quarters(element, metre)
    if not targets and stamp is not None:
        for staff in (element.get("staff") or "1").split():
            signs.by_place[bar, stamp, int(staff)].append(sign)


def _quarters(element: Element, metre: Metre) -> Fraction | None:
    """A time stamp, counted in beats from 1, as quarters from the bar line."""
    stamp = element.get("tstamp")
    if stamp is None:
        return None
    return (Fraction(stamp).limit_denominator(960) - 1) * Fraction(4, metre.beat_type)


def _tempo(element: Element, bar: int, metre: Metre, signs: Signs) -> None:
    pieces = list(element.itertext())
    text = " ".join("".join(pieces).split())
    figure = 0.0
    if element.get("mm"):
        unit = value_of(element.get("mm.unit")) or Fraction(1)
        dots = int(element.get("mm.dots") or 0)
        figure = float(Fraction(element.get("mm", "0")) * unit * (2 - Fraction(1, 2**dots)))
    elif found := re.fullmatch(r"\D*=\D*(\d{2,3})\D*", text):
        figure = float(found[1])
    speed = float(element.get("midi.bpm") or figure)
    figure, speed = (value if SLOWEST <= value <= FASTEST else 0.0 for value in (figure, speed))
    at = _quarters(element, metre) or Fraction(0)
    words = tempo_in_words(pieces if _METRONOME.search(text) is None else [_METRONOME.sub("", text)])
    if speed or words:
        signs.tempi.append(TempoFound(bar, max(at, Fraction(0)), speed, words, figure))
