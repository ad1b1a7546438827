"""Slurs, dynamics, hairpins, articulation, fingering, pedal and octave signs of MEI, bar by bar.

Source: the MEI guidelines, module for common music notation, "Control events"; ``tstamp`` counts beats from 1.
"""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.score.layers import XML_ID
from sitegen.score.lettering import joined
from sitegen.score.mei_values import tag
from sitegen.score.nouns import Metre
from sitegen.score.sign_nouns import Placement, SignKind
from sitegen.score.signs_found import SignFound, SignPlace, SignsFound, SlurFound

ARTICULATIONS = {
    "stacc": ("staccato",), "acc": ("accent",), "ten": ("tenuto",), "stacciss": ("staccatissimo",),
    "marc": ("strong-accent",), "spicc": ("staccatissimo",), "ten-stacc": ("detached-legato",),
    "marc-stacc": ("strong-accent", "staccato"), "acc-soft": ("soft-accent",),
}  # fmt: skip
_HAIRPINS = {"cres": "crescendo", "dim": "diminuendo"}
_OCTAVES = {"8": 1, "15": 2, "22": 3}
_SPAN = re.compile(r"(?:(\d+)m\s*\+\s*)?(\d+(?:\.\d*)?)")


def collect_mei_signs(measure: Element, bar: int, metre: Metre, found: SignsFound) -> None:
    """Add the signs of one measure to ``found``."""
    for element in measure:
        name = tag(element)
        if name in ("slur", "phrase"):
            for first in _ids(element, "startid"):
                for last in _ids(element, "endid"):
                    found.slurs.append(SlurFound(first, last, _placement(element, "curvedir")))
        elif name == "fing":
            for target in _ids(element, "startid"):
                found.fingerings[target].append(_text(element))
        elif name in _READERS:
            kind, text, spans, whole = _READERS[name](element)
            sign = _sign(element, bar, metre, kind, text, spans, whole)
            if sign is not None and text:
                found.signs.append(sign)
    _pair_pedals(measure, bar, metre, found)
    for element in measure.iter():
        if tag(element) in ("note", "chord"):
            for holder in (element, *(e for e in element if tag(e) == "artic")):
                for name in (holder.get("artic") or "").split():
                    found.articulations[element.get(XML_ID, "")] += ARTICULATIONS.get(name, ())


def _dynamic(element: Element) -> tuple[SignKind, str, bool, bool]:
    return "dynamic", _text(element), False, False


def _words(element: Element) -> tuple[SignKind, str, bool, bool]:
    return "words", _text(element), False, False


def _hairpin(element: Element) -> tuple[SignKind, str, bool, bool]:
    return "hairpin", _HAIRPINS.get(element.get("form") or "", ""), True, False


def _octave(element: Element) -> tuple[SignKind, str, bool, bool]:
    octaves = _OCTAVES.get(element.get("dis") or "8", 1)
    return "octave", str(-octaves if element.get("dis.place") == "below" else octaves), True, True


_READERS = {"dynam": _dynamic, "dir": _words, "hairpin": _hairpin, "octave": _octave}


def _sign(
    element: Element, bar: int, metre: Metre, kind: SignKind, text: str, spans: bool, whole: bool
) -> SignFound | None:
    start = _place(element, bar, metre, "tstamp", "startid")
    end = _place(element, bar, metre, "tstamp2", "endid") if spans else start
    if start is None or end is None:
        return None
    staff = int((element.get("staff") or "1").split()[0])
    between = element.get("place") == "between"
    placement: Placement = "below" if between else _placement(element, "place")
    return SignFound(kind, staff, start, end, text, placement, whole)


def _pair_pedals(measure: Element, bar: int, metre: Metre, found: SignsFound) -> None:
    """A pedal goes down where one element says so and up where another does; the one still down is the last found."""
    pedals = [e for e in measure if tag(e) == "pedal"]
    for element in sorted(pedals, key=lambda e: _number(e.get("tstamp"))):
        place = _place(element, bar, metre, "tstamp", "startid")
        way = element.get("dir") or "down"
        if place is None:
            continue
        if way in ("up", "bounce"):
            held = next((k for k in range(len(found.signs) - 1, -1, -1) if found.signs[k].kind == "pedal"), None)
            if held is not None and found.signs[held].start == found.signs[held].end:
                down = found.signs[held]
                found.signs[held] = SignFound("pedal", down.staff, down.start, place, down.text, down.placement)
        if way in ("down", "bounce"):
            staff = int((element.get("staff") or "1").split()[0])
            text = "line" if element.get("form") == "line" else ""
            found.signs.append(SignFound("pedal", staff, place, place, text, _placement(element, "place")))


def _place(element: Element, bar: int, metre: Metre, stamp: str, name: str) -> SignPlace | str | None:
    span = _SPAN.fullmatch((element.get(stamp) or "").strip())
    if span is not None:
        beats = Fraction(span[2]).limit_denominator(960) - 1
        return bar + int(span[1] or 0), max(Fraction(0), beats * Fraction(4, metre.beat_type))
    return next(iter(_ids(element, name)), None)


def _placement(element: Element, attribute: str) -> Placement:
    value = element.get(attribute)
    return "above" if value == "above" else "below" if value == "below" else ""


def _ids(element: Element, attribute: str) -> list[str]:
    return [name.lstrip("#") for name in (element.get(attribute) or "").split()]


def _text(element: Element) -> str:
    return joined(element.itertext())


def _number(text: str | None) -> float:
    return float(text) if text and re.fullmatch(r"\d+(\.\d*)?", text) else 0.0
