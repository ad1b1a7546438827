"""What MEI attributes mean: note values, pitches, signatures, clefs. Pure functions on elements.

Source: the MEI guidelines (Music Encoding Initiative), module for common music notation.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.fifths import LETTERS, signature_alter
from sitegen.score.nouns import Metre, Pitch

ALTERS = {
    "s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2, "xs": 3, "sx": 3, "ts": 3, "tf": -3, "nf": -1, "ns": 1,
    "su": 1, "sd": 1, "fu": -1, "fd": -1, "nu": 0, "nd": 0, "ffd": -2, "ffu": -2, "xu": 2, "xd": 2,
    # quarter tones and their like go to the nearest key, as less altered where two are as near
    "1qf": 0, "1qs": 0, "3qf": -1, "3qs": 1, "kmf": 0, "bf": -1, "bmf": -1, "kms": 0, "bms": 1, "bs": 1, "koron": 0,
    "sori": 0,
}  # fmt: skip
_METRE_UNITS = ("1", "2", "4", "8", "16", "32", "64", "128")
_MOST_BEATS = 99
_LONG_VALUES = {
    "breve": Fraction(8), "long": Fraction(16), "maxima": Fraction(32), "brevis": Fraction(8), "longa": Fraction(16),
    "semibrevis": Fraction(4), "minima": Fraction(2), "semiminima": Fraction(1), "fusa": Fraction(1, 2),
    "semifusa": Fraction(1, 4),
}  # fmt: skip


def tag(element: Element) -> str:
    """The element's name without its namespace; empty for comments and processing instructions."""
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def children(element: Element, name: str) -> Iterator[Element]:
    """The direct children called ``name``."""
    return (child for child in element if tag(child) == name)


def duration(element: Element) -> Fraction | None:
    """The written value in quarter notes, dots included and tuplets not; None where there is no such value."""
    quarters = value_of(element.get("dur"))
    if quarters is None:
        return None
    dots = int(element.get("dots") or sum(1 for _ in children(element, "dot")))
    return quarters * (2 - Fraction(1, 2**dots))


def value_of(name: str | None) -> Fraction | None:
    """A note value by its name (``breve``, ``4`` for a quarter) in quarter notes; None where there is no such value."""
    if name in _LONG_VALUES:
        return _LONG_VALUES[name]
    return Fraction(4, int(name)) if name and name.isdecimal() and int(name) > 0 else None


def tuplet_ratio(element: Element) -> Fraction:
    """The factor on the values inside a tuplet: 2/3 for a triplet."""
    return Fraction(int(element.get("numbase") or 1), int(element.get("num") or 1))


def pitch(note: Element, in_force: dict[tuple[str, int], int], fifths: int) -> Pitch | None:
    """The sounding pitch of a note, or None for an unpitched one.

    A sounding accidental (``accid.ges``) rules; else a printed one, which also holds for the rest of the bar
    through ``in_force``; else one in force; else the key signature.
    """
    step, octave = (note.get("pname") or "").upper(), note.get("oct.ges") or note.get("oct")
    if step not in tuple(LETTERS) or octave is None:
        return None
    accids = [note, *(child for child in note.iter() if tag(child) == "accid")]
    sounding = next((a.get("accid.ges") for a in accids if a.get("accid.ges")), None)
    printed = next((a.get("accid") for a in accids if a.get("accid")), None)
    place = step, int(note.get("oct") or octave)
    if printed in ALTERS:
        in_force[place] = ALTERS[printed]
    if sounding in ALTERS:
        alter = ALTERS[sounding]
    else:
        alter = in_force.get(place, signature_alter(step, fifths))
    return Pitch(step, alter, int(octave))


def has_accidental(note: Element) -> bool:
    """Whether the note itself says how it is altered."""
    accids = [note, *(child for child in note.iter() if tag(child) == "accid")]
    return any(a.get("accid.ges") or a.get("accid") for a in accids)


def key_fifths(element: Element) -> int | None:
    """The key signature in an element's attribute or ``keySig`` child: sharps positive, flats negative."""
    found = element if tag(element) == "keySig" else next(children(element, "keySig"), None)
    text = (found.get("sig") if found is not None else None) or element.get("keysig") or element.get("key.sig")
    match = re.fullmatch(r"(\d+)([sf])?", text or "")
    if not match or len(match[1]) > 1 or int(match[1]) > 7:
        return None
    return int(match[1]) * (-1 if match[2] == "f" else 1)


def metre(element: Element) -> Metre | None:
    """The time signature in an element's attributes or ``meterSig`` child; additive counts (``3+2``) are summed."""
    found = element if tag(element) == "meterSig" else next(children(element, "meterSig"), None)
    group = next(children(element, "meterSigGrp"), None) if found is None else None
    if group is not None:
        return _added(group)
    count = found.get("count") if found is not None else element.get("meter.count")
    unit = found.get("unit") if found is not None else element.get("meter.unit")
    symbol = found.get("sym") if found is not None else element.get("meter.sym")
    if (not count or not unit) and symbol:
        count, unit = ("2", "2") if symbol == "cut" else ("4", "4")
    unit = re.sub(r"\.0*$", "", unit or "")
    if not count or unit not in _METRE_UNITS or len(count) > 32:
        return None
    beats = sum(int(part) for part in re.findall(r"\d+", re.sub(r"\.0*$", "", count)))
    known = symbol if symbol in ("common", "cut") else ""
    return Metre(beats, int(unit), known) if 0 < beats <= _MOST_BEATS else None


def _added(group: Element) -> Metre | None:
    """Several time signatures: one after the other in each bar they are one long one; else the first counts."""
    found = [one for sig in children(group, "meterSig") if (one := metre(sig)) is not None]
    if len(found) < 2 or group.get("func") in ("alternating", "interchanging"):
        return found[0] if found else None
    unit = max(one.beat_type for one in found)
    return Metre(sum(one.beats * unit // one.beat_type for one in found), unit)


def clef(element: Element) -> tuple[str, int, int] | None:
    """Sign, line and octave shift of a ``clef`` element, or of a ``staffDef`` with clef attributes."""
    prefix = "" if tag(element) == "clef" else "clef."
    sign, line = element.get(prefix + "shape"), element.get(prefix + "line")
    if sign not in ("G", "F", "C", "GG") or not (line or "").isdecimal():
        return None
    shift = {"8": 1, "15": 2, "22": 3}.get(element.get(prefix + "dis") or "", 0)
    if sign == "GG":
        sign, shift = "G", 1
    below = element.get(prefix + "dis.place") == "below" or element.get(prefix + "shape") == "GG"
    return sign, int(line or 2), -shift if below else shift
