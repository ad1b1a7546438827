"""Signs of a staff as ``direction`` elements of MusicXML."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from sitegen.score import Sign

#: The dynamics that MusicXML has an element for; others are told in letters.
DYNAMICS = frozenset((
    "p", "pp", "ppp", "pppp", "ppppp", "pppppp", "f", "ff", "fff", "ffff", "fffff", "ffffff", "mp", "mf", "sf", "sfp",
    "sfpp", "fp", "rf", "rfz", "sfz", "sffz", "fz", "n", "pf", "sfzp",
))  # fmt: skip
_SIZES = {1: "8", 2: "15", 3: "22"}


def sign_at(sign: Sign, staff: int) -> Element:
    """A dynamic or words; ``staff`` counts within the part, 0 in a part of one."""
    if sign.kind == "dynamic":
        dynamics = Element("dynamics")
        if sign.text in DYNAMICS:
            SubElement(dynamics, sign.text)
        else:
            SubElement(dynamics, "other-dynamics").text = sign.text
        return _direction(sign, dynamics, staff)
    words = Element("words", {"font-style": "italic"})
    words.text = sign.text
    return _direction(sign, words, staff)


def beginning_of(sign: Sign, number: int, staff: int) -> Element:
    """Where a hairpin, pedal or octave sign begins."""
    if sign.kind == "hairpin":
        return _direction(sign, Element("wedge", {"number": str(number), "type": sign.text}), staff)
    if sign.kind == "octave":
        way = "down" if int(sign.text) > 0 else "up"
        return _direction(sign, _octave(sign, number, way), staff)
    return _direction(sign, _pedal(sign, "start"), staff)


def ending_of(sign: Sign, number: int, staff: int) -> Element:
    """Where it ends."""
    if sign.kind == "hairpin":
        return _direction(sign, Element("wedge", {"number": str(number), "type": "stop"}), staff)
    if sign.kind == "octave":
        return _direction(sign, _octave(sign, number, "stop"), staff)
    return _direction(sign, _pedal(sign, "stop"), staff)


def _octave(sign: Sign, number: int, way: str) -> Element:
    return Element("octave-shift", {"number": str(number), "size": _SIZES[abs(int(sign.text))], "type": way})


def _pedal(sign: Sign, way: str) -> Element:
    line = sign.text == "line"
    return Element("pedal", {"line": "yes" if line else "no", "sign": "no" if line else "yes", "type": way})


def _direction(sign: Sign, content: Element, staff: int) -> Element:
    direction = Element("direction", {"placement": sign.placement} if sign.placement else {})
    SubElement(direction, "direction-type").append(content)
    if staff:
        SubElement(direction, "staff").text = str(staff)
    return direction
