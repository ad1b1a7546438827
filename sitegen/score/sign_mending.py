"""Numbers beside the notes of a MusicXML file that cannot be: in chord symbols, tablature, repeats, groups of parts.

An importer written in C++ may end the process on each of them, or never end. What stands there says nothing that could
be guessed, so the sign goes without its number, or goes; each is said.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from sitegen.score.oddities import Oddities

MOST_PASSES = 9
_CORRECT = "Correct it in a notation editor and export it again."
_ALTER, _STEP, _SMALL = r"[+-]?[0-3](\.\d{0,6})?", "[A-G]", r"\d{1,2}"

# element: what its text must be, what goes where it is not (itself, or the element that holds it), what it belongs to
_TEXTS: dict[str, tuple[str, str, str]] = {
    "display-step": (_STEP, "display-step", "the place of a rest"),
    "display-octave": (r"\d", "display-octave", "the place of a rest"),
    **dict.fromkeys(("root-step", "bass-step"), (_STEP, "harmony", "a chord symbol")),
    **{name: (_ALTER, name, "a chord symbol") for name in ("root-alter", "bass-alter")},
    **dict.fromkeys(("degree-value",), (_SMALL, "degree", "a chord symbol")),
    **dict.fromkeys(("degree-alter",), (_ALTER, "degree", "a chord symbol")),
    "inversion": (_SMALL, "inversion", "a chord symbol"),
    "figure-number": (r"\S{0,6}", "figure", "a figured bass"),
    "string": (_SMALL, "string", "a fingering"),
    "fret": (_SMALL, "fret", "a fingering"),
    "fingering": (r"(?s).{0,24}", "fingering", "a fingering"),
    "per-minute": (r"(?s).{0,24}", "metronome", "a metronome mark"),
    "tremolo": (r"[0-8]?", "tremolo", "a tremolo"),
    "staff-lines": (r"\d", "staff-lines", "a staff"),
    "line": (r"[+-]?\d", "line", "a clef"),
    "key-step": (_STEP, "key", "a key signature"),
    "key-alter": (_ALTER, "key", "a key signature"),
    "key-octave": (r"\d", "key-octave", "a key signature"),
    **dict.fromkeys(("diatonic", "chromatic", "octave-change"),
                    (r"[+-]?\d{1,2}(\.0*)?", "transpose", "a transposition")),
}  # fmt: skip
_NEEDS = {"display-step": "display-octave", "display-octave": "display-step"}
_ATTRIBUTES = {
    "number": r"[1-9]\d{0,2}", "times": r"\d{1,9}", "size": r"\d{1,3}|[a-z-]+", "slash-type": r"[\w-]+",
    "default-x": r"[+-]?\d{1,6}(\.\d*)?", "default-y": r"[+-]?\d{1,6}(\.\d*)?", "relative-x": r"[+-]?\d{1,6}(\.\d*)?",
    "relative-y": r"[+-]?\d{1,6}(\.\d*)?", "font-size": r"\d{1,4}(\.\d*)?|[a-z-]+", "tempo": r"\d{1,6}(\.\d*)?",
}  # fmt: skip
_KEEP_NUMBER = ("measure", "key", "clef", "ending")
_ENDING = r"\s*|\d{1,2}(\s*[,-]\s*\d{1,2}){0,19}"


def mend_signs(root: Element, odd: Oddities) -> None:
    """Leave out of a partwise tree what cannot be beside its notes, and say it in ``odd``."""
    _close_groups(root)
    for part in root.iter("part"):
        for measure in part.iter("measure"):
            place = f"bar {measure.get('number')}"
            for element in measure.iter():
                _mend_attributes(element, place, odd)
            for parent, element in list(_below(measure)):
                row = _TEXTS.get(element.tag)
                if row is None or re.fullmatch(row[0], (element.text or "").strip()):
                    continue
                if not (element.text or "").strip() and element.tag not in _NEEDS and row[1] == element.tag:
                    parent.remove(element)  # an empty element says nothing
                    continue
                _take_out(measure, parent, element, row[1])
                odd.add(place, f"{row[2]} has a number that cannot be read; it is left out", _CORRECT)


def _below(element: Element) -> Iterator[tuple[Element, Element]]:
    return ((parent, child) for parent in element.iter() for child in parent)


def _take_out(measure: Element, parent: Element, element: Element, name: str) -> None:
    if name == element.tag:
        gone = [child for child in parent if child is element or child.tag == _NEEDS.get(element.tag)]
        for child in gone:
            parent.remove(child)
        return
    for holder, child in list(_below(measure)):
        if child.tag == name and element in list(child.iter()) and child in list(holder):
            holder.remove(child)


def _mend_attributes(element: Element, place: str, odd: Oddities) -> None:
    for key, value in list(element.attrib.items()):
        pattern = _ENDING if (element.tag, key) == ("ending", "number") else _ATTRIBUTES.get(key)
        if pattern is None or (key == "number" and element.tag in _KEEP_NUMBER and element.tag != "ending"):
            continue
        if not re.fullmatch(pattern, value.strip()):
            del element.attrib[key]
        elif element.tag == "repeat" and key == "times" and int(value) > MOST_PASSES:
            del element.attrib[key]
            odd.add(place, f"a passage is to be played {value[:9]} times; it is played twice", _CORRECT)


def _close_groups(root: Element) -> None:
    """A group of parts that ends without a beginning is none."""
    parts = root.find("part-list")
    if parts is None:
        return
    opened: list[str] = []
    for element in parts.findall("part-group"):
        number = element.get("number", "1")
        if element.get("type") == "start":
            opened.append(number)
        elif number in opened:
            opened.remove(number)
        else:
            parts.remove(element)
