"""MEI whose values cannot be, mended before anything reads or draws it: what an importer may die of, what hides music.

A value that cannot be read is left out, as if nobody had written it. A note or rest without a value has that of the one
before it in its layer; a staff that nobody defined is defined; a bar that says to play the one before again is that
bar, written out. Each is said.
"""

from __future__ import annotations

import re
from copy import deepcopy
from xml.etree.ElementTree import Element, SubElement

from sitegen.errors import ScoreError
from sitegen.score.checks import COUNT, MEI_NUMBERS
from sitegen.score.ids import XML_ID
from sitegen.score.mei_editing import settle_text
from sitegen.score.mei_values import tag
from sitegen.score.oddities import Oddities

_NUMBERED = ("staff", "staffDef", "layer")
_WIDTHS = ("narrow", "medium", "wide")  # legal, and the importer dies of them
_CORRECT = "Correct it and export again."
_WRITE_OUT = "Write the music out."


def mend_mei(root: Element, odd: Oddities, file: str) -> None:
    """Put right what cannot be in a tree, and say it in ``odd``. Raises ``ScoreError`` where no staff is defined."""
    _leave_to_others(root)
    settle_text(root, odd, file)
    bar = ""
    for element in root.iter():
        if tag(element) == "measure":
            bar = f"bar {element.get('n')}" if element.get("n") else bar
        _mend_attributes(element, bar, odd)
    _gather_changes(root)
    defined = {e.get("n", "1") for e in root.iter() if tag(e) == "staffDef"}
    before: dict[tuple[str, str], Element] = {}
    for measure in (e for e in root.iter() if tag(e) == "measure"):
        bar = f"bar {measure.get('n')}" if measure.get("n") else bar
        for staff in (e for e in measure if tag(e) == "staff"):
            number = staff.get("n", "1")
            if number not in defined:
                _define(root, number, file, bar, odd)
                defined.add(number)
            for place, layer in enumerate(e for e in staff if tag(e) == "layer"):
                _write_out(layer, before.get((number, layer.get("n", str(place)))), bar, odd)
                _mend_values(layer, bar, odd)
                before[number, layer.get("n", str(place))] = layer


def _leave_to_others(root: Element) -> None:
    """Take out what other vocabularies say within the MEI: the importer hands it on without their names."""
    space = root.tag[: root.tag.index("}") + 1] if "}" in root.tag else ""
    for parent in list(root.iter()):
        for child in list(parent):
            foreign = isinstance(child.tag, str) and not child.tag.startswith(space)
            if tag(child) == "extMeta" or (foreign and space):
                parent.remove(child)


def _gather_changes(root: Element) -> None:
    """Give a ``staffDef`` that stands by itself between bars, a clef or key that changes in one staff, a ``scoreDef``:
    verovio passes over it without."""
    for parent in list(root.iter()):
        if tag(parent) not in ("section", "ending"):
            continue
        for place, child in enumerate(list(parent)):
            if tag(child) == "staffDef":
                space = child.tag.removesuffix("staffDef")
                change = Element(f"{space}scoreDef")
                change.tail, child.tail = child.tail, None
                SubElement(change, f"{space}staffGrp").append(child)
                parent[place] = change


def _mend_attributes(element: Element, bar: str, odd: Oddities) -> None:
    name = tag(element)
    for key, value in list(element.attrib.items()):
        pattern = MEI_NUMBERS.get(key) or (COUNT if key == "n" and name in _NUMBERED else None)
        if not value.strip() or (key == "lwidth" and value in _WIDTHS):
            del element.attrib[key]
        elif pattern and not re.fullmatch(pattern, value):
            del element.attrib[key]
            odd.add(bar, f"'{value[:20]}' cannot be the {key} of a <{name}>; it is read without", _CORRECT)


def _define(root: Element, number: str, file: str, bar: str, odd: Oddities) -> None:
    """Define a staff at the end of the first group of staves."""
    group = next((e for e in root.iter() if tag(e) == "staffGrp"), None)
    if group is None:
        raise ScoreError(f"staff {number} is not defined", "Add a staffDef for it.", file, bar=bar[4:] or None)
    space = group.tag[: group.tag.index("}") + 1] if "}" in group.tag else ""
    SubElement(group, f"{space}staffDef", {"n": number, "lines": "5", "clef.shape": "G", "clef.line": "2"})
    odd.add(bar, f"staff {number} is not defined; it is read in the treble clef", "Add a staffDef for it.")


def _write_out(layer: Element, before: Element | None, bar: str, odd: Oddities) -> None:
    """Write out a bar that is to be played like the one before; what repeats less or more than it is a rest."""
    for place, sign in enumerate(list(layer)):
        name = tag(sign)
        if name == "mRpt" and before is not None and len(list(layer)) == 1:
            layer.remove(sign)
            for child in before:
                copy = deepcopy(child)
                for element in copy.iter():
                    element.attrib.pop(XML_ID, None)
                layer.append(copy)
            odd.add(bar, "a sign repeats the bar before; it is written out", _WRITE_OUT)
        elif name in ("mRpt", "mRpt2", "multiRpt", "beatRpt", "halfmRpt"):
            space = sign.tag[: sign.tag.index("}") + 1] if "}" in sign.tag else ""
            layer[place] = Element(f"{space}{'mRest' if len(list(layer)) == 1 else 'space'}", {"dur": "4"})
            odd.add(bar, "a sign repeats earlier music; it is read as a silence", _WRITE_OUT)


def _mend_values(layer: Element, bar: str, odd: Oddities) -> None:
    """Give every note and rest a value."""
    value = "4"
    inside = {id(note) for chord in layer.iter() if tag(chord) == "chord" for note in chord.iter() if note is not chord}
    for element in layer.iter():
        name = tag(element)
        if name not in ("note", "chord", "rest", "space") or id(element) in inside:
            continue
        own = element.get("dur") or next((e.get("dur") for e in element.iter() if e.get("dur")), None)
        if own is None and not element.get("grace"):
            element.set("dur", value)
            odd.add(bar, f"a {name} has no value; it is read as long as the one before it", "Give it a note value.")
        value = own or value
