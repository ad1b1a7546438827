"""What numbers and note symbols of MusicXML mean, in quarter notes. Pure functions on elements."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from xml.etree.ElementTree import Element

_TYPES = {
    "maxima": Fraction(32), "long": Fraction(16), "breve": Fraction(8), "whole": Fraction(4), "half": Fraction(2),
    "quarter": Fraction(1), "eighth": Fraction(1, 2), "16th": Fraction(1, 4), "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16), "128th": Fraction(1, 32), "256th": Fraction(1, 64), "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}  # fmt: skip
_DECIMAL = re.compile(r"[+-]?\d{1,9}(\.\d{0,9})?")


def number(text: str | None) -> Fraction | None:
    """A decimal of a reasonable size, else None."""
    found = _DECIMAL.fullmatch((text or "").strip())
    if found is None:
        return None
    return Fraction(found[0] if found[1] else int(found[0]))


def value_of(name: str) -> Fraction | None:
    """A note value by its name, in quarters."""
    return _TYPES.get(name)


def symbol_of(note: Element) -> Fraction | None:
    """What type, dots and tuplet make of a note, in quarters; None where it has no type."""
    value = _TYPES.get(note.findtext("type", "").strip())
    if value is None:
        return None
    dots = len(note.findall("dot"))
    if dots:
        value *= 2 - Fraction(1, 2**dots)
    modified = note.find("time-modification")
    if modified is None:
        return value
    actual, normal = (number(modified.findtext(name)) for name in ("actual-notes", "normal-notes"))
    return value * normal / actual if actual and normal else value


def readable(element: Element, patterns: Mapping[str, str]) -> bool:
    """Whether the text of an element is what the pattern for its name asks for."""
    pattern = patterns.get(element.tag)
    return pattern is None or re.fullmatch(pattern, (element.text or "").strip()) is not None
