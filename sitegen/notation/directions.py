"""Signs of a staff as ``direction`` elements of MusicXML.

``staff`` counts within the part, and is 0 in a part of one.
"""

from __future__ import annotations

from fractions import Fraction
from xml.sax.saxutils import escape

from sitegen.notation.values import value_of
from sitegen.notation.written import Direction
from sitegen.score import Sign

#: The dynamics that MusicXML has an element for; others are told in letters.
DYNAMICS = frozenset((
    "p", "pp", "ppp", "pppp", "ppppp", "pppppp", "f", "ff", "fff", "ffff", "fffff", "ffffff", "mp", "mf", "sf", "sfp",
    "sfpp", "fp", "rf", "rfz", "sfz", "sffz", "fz", "n", "pf", "sfzp",
))  # fmt: skip
_SIZES = {1: "8", 2: "15", 3: "22"}


def sign_at(sign: Sign, staff: int) -> Direction:
    """A dynamic or words."""
    if sign.kind == "dynamic":
        letters = f"<{sign.text}/>" if sign.text in DYNAMICS else _element("other-dynamics", sign.text)
        return Direction(_type(f"<dynamics>{letters}</dynamics>"), staff, sign.placement)
    return Direction(italic(sign.text), staff, sign.placement)


def beginning_of(sign: Sign, number: int, staff: int) -> Direction:
    """Where a hairpin, pedal or octave sign begins."""
    way = sign.text if sign.kind == "hairpin" else "start"
    if sign.kind == "octave":
        way = "down" if int(sign.text) > 0 else "up"
    return Direction(_end(sign, number, way), staff, sign.placement)


def ending_of(sign: Sign, number: int, staff: int) -> Direction:
    """Where it ends."""
    return Direction(_end(sign, number, "stop"), staff, sign.placement, ends=True)


def italic(text: str) -> str:
    """Words that tell how to play on."""
    return _type(_element("words", text, ' font-style="italic"'))


def bold(text: str) -> str:
    """Words that tell the tempo, if there are any; by their ``default-y`` those of a system stand on one line."""
    return _type(_element("words", text, ' default-y="45" font-weight="bold"')) if text else ""


def metronome(beat: Fraction, beats: int) -> str:
    """So many beats a minute, each of ``beat`` quarters."""
    value = value_of(beat)
    unit = f"<beat-unit>{value.type}</beat-unit>" + "<beat-unit-dot/>" * value.dots if value else ""
    return _type(f"<metronome>{unit}<per-minute>{beats}</per-minute></metronome>")


def _end(sign: Sign, number: int, way: str) -> str:
    """One end of what stretches."""
    if sign.kind == "hairpin":
        return _type(f'<wedge number="{number}" type="{way}"/>')
    if sign.kind == "octave":
        return _type(f'<octave-shift number="{number}" size="{_SIZES[abs(int(sign.text))]}" type="{way}"/>')
    line, letters = ("yes", "no") if sign.text == "line" else ("no", "yes")
    return _type(f'<pedal line="{line}" sign="{letters}" type="{way}"/>')


def _type(content: str) -> str:
    return f"<direction-type>{content}</direction-type>"


def _element(tag: str, text: str, attributes: str = "") -> str:
    return f"<{tag}{attributes}>{escape(text)}</{tag}>" if text else f"<{tag}{attributes}/>"
