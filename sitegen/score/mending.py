"""MusicXML whose numbers cannot be, mended before anything reads or draws it.

An importer written in C++ may end the whole process on a number that it cannot read, and one such number must not cost
the piece. Each is put right by the row of its element below, and said: what an editor would have written there is
known from the rest of the bar, or the element does without it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from itertools import zip_longest
from xml.etree.ElementTree import Element, SubElement

from sitegen.score.bar_mending import mend_bars
from sitegen.score.checks import MUSICXML_NUMBERS
from sitegen.score.free_metre import give_metre
from sitegen.score.musicxml_values import readable, symbol_of
from sitegen.score.oddities import Oddities
from sitegen.score.sign_mending import mend_signs

_EXPORT = "Correct the bar in a notation editor and export it again."
_MOST_STAVES = 4
FEWEST_AGREEING = 8
"""Notes whose symbols must agree on a unit of lengths before it overrules the one that is given."""


def mend_musicxml(root: Element, odd: Oddities) -> None:
    """Put right what cannot be in a partwise tree, and say it in ``odd``."""
    mend_signs(root, odd)
    _align_parts(root, odd)
    for part in root.iter("part"):
        _mend_staves(part, odd)
        for measure in part.iter("measure"):
            _mend_numbers(measure, f"bar {measure.get('number')}", odd)
            _mend_times(measure, odd)
        _mend_divisions(part, odd)
    give_metre(root, odd)
    for part in root.iter("part"):
        mend_bars(part, odd)


def _align_parts(root: Element, odd: Oddities) -> None:
    """Give every bar a number, the same in all parts, and every part the same bars: bars are told apart by it."""
    parts = [list(part.iter("measure")) for part in root.iter("part")]
    longest = max(parts, key=len, default=[])
    for index, measure in enumerate(longest):
        if not (measure.get("number") or "").strip():
            measure.set("number", str(index + 1))
    numbers = [measure.get("number", "") for measure in longest]
    for part in root.iter("part"):
        own = list(part.iter("measure"))
        if len(own) < len(numbers):
            odd.add("", f"a part has {len(own)} bars where another has {len(numbers)}; it rests in those it lacks",
                    "Write rests where a part is silent.")  # fmt: skip
        for index, number in enumerate(numbers):
            there = own[index].get("number", "") if index < len(own) else number
            if len(own) < len(numbers) and there != number and there in numbers[index + 1 :]:
                missing = Element("measure", {"number": number})
                part.insert(list(part).index(own[index]), missing)
                own.insert(index, missing)
            elif index >= len(own):
                own.append(SubElement(part, "measure", {"number": number}))
            elif own[index].get("number") != number:
                own[index].set("number", number)


def _mend_staves(part: Element, odd: Oddities) -> None:
    """A staff that the part does not have is its last one; a part that does not say how many has those it names."""
    said = [int(e.text or "") for e in part.iter("staves") if readable(e, MUSICXML_NUMBERS)]
    named = [int(e.text or "") for e in part.iter("staff") if readable(e, MUSICXML_NUMBERS)]
    count = max(said, default=max((n for n in named if n <= _MOST_STAVES), default=1))
    first = next(part.iter("attributes"), None)
    if not said and count > 1:
        if first is None:
            first = Element("attributes")
            next(part.iter("measure")).insert(0, first)
        _place(first, "staves", str(count))
    for measure in part.iter("measure"):
        for staff in measure.iter("staff"):
            if not readable(staff, MUSICXML_NUMBERS) or int(staff.text or "") > count:
                staff.text = str(count)
                odd.add(f"bar {measure.get('number')}", "a note stands on no staff of its part; it goes to the lowest",
                        _EXPORT)  # fmt: skip
        for attributes in measure.iter("attributes"):
            for element in list(attributes):
                number = element.get("number")
                if number is not None and (not number.isdecimal() or not 0 < int(number) <= count):
                    attributes.remove(element)


def _place(attributes: Element, name: str, text: str) -> None:
    """Put an element into ``attributes`` where the schema wants it."""
    before = {"staves": ("footnote", "level", "divisions", "key", "time"), "divisions": ("footnote", "level")}[name]
    place = sum(1 for e in attributes if e.tag in before)
    element = Element(name)
    element.text = text
    attributes.insert(place, element)


def _to_rest(note: Element, element: Element) -> None:
    """A note whose pitch cannot be read leaves its time empty; one of a chord leaves nothing."""
    pitch = note.find("pitch")
    if pitch is not None:
        note[list(note).index(pitch)] = Element("rest")
    for tie in [e for e in note if e.tag in ("tie", "notations", "accidental")]:
        note.remove(tie)


def _nearest_semitone(note: Element, element: Element) -> None:
    found = re.fullmatch(r"([+-]?\d+)(\.\d*)?", (element.text or "").strip())
    value = int(found[1]) if found else 0
    element.text = str(value if abs(value) <= 3 else 0)


def _without(path: str) -> Callable[[Element, Element], None]:
    """Do without the child of a note or of attributes that is called ``path``."""

    def drop(holder: Element, element: Element) -> None:
        for child in [c for c in holder if c.tag == path]:
            if child is element or element in list(child.iter()):
                holder.remove(child)

    return drop


# element: what holds it, what is said of it, how it is mended. Lengths are mended with their bar.
_MENDS: dict[str, tuple[str, str, Callable[[Element, Element], None]]] = {
    "step": ("note", "a note has no pitch that can be read; a rest stands for it", _to_rest),
    "octave": ("note", "a note has no pitch that can be read; a rest stands for it", _to_rest),
    "alter": ("note", "a note is altered by no whole semitone, and no piano has it; it is read as the nearest key",
              _nearest_semitone),
    "actual-notes": ("note", "a tuplet has no number that can be read; its notes keep their lengths",
                     _without("time-modification")),
    "normal-notes": ("note", "a tuplet has no number that can be read; its notes keep their lengths",
                     _without("time-modification")),
    "beats": ("attributes", "a time signature cannot be read; the one before stays", _without("time")),
    "beat-type": ("attributes", "a time signature cannot be read; the one before stays", _without("time")),
    "fifths": ("attributes", "a key signature cannot be read; the one before stays", _without("key")),
    "clef-octave-change": ("attributes", "a clef's octave cannot be read; the one before stays", _without("clef")),
    "staves": ("attributes", "a number of staves cannot be read", _without("staves")),
}  # fmt: skip


def _mend_numbers(measure: Element, bar: str, odd: Oddities) -> None:
    for name in ("note", "attributes"):
        for holder in list(measure.iter(name)):
            for element in list(holder.iter()):
                row = _MENDS.get(element.tag)
                if row is not None and row[0] == name and not readable(element, MUSICXML_NUMBERS):
                    row[2](holder, element)
                    odd.add(bar, row[1], _EXPORT)
            # signs that stand for several bars, or for notes of an earlier one, hide what is written in these
            for style in [s for s in holder if s.tag == "measure-style"]:
                for sign in [s for s in style if s.tag in ("multiple-rest", "measure-repeat", "beat-repeat")]:
                    style.remove(sign)
                    if sign.tag == "measure-repeat" and sign.get("type") == "start" and not _sounds(measure):
                        odd.add(bar, "a sign repeats earlier music; the bar is silent", "Write the music out.")
                if not len(style):
                    holder.remove(style)
    _part_chords_from_rests(measure)


def _mend_times(measure: Element, odd: Oddities) -> None:
    """A time signature has as many counts as units, or is none."""
    for attributes in measure.iter("attributes"):
        for time in attributes.findall("time"):
            counts = len(time.findall("beats")), len(time.findall("beat-type"))
            if counts[0] != counts[1] or (not counts[0] and time.find("senza-misura") is None):
                attributes.remove(time)
                odd.add(
                    f"bar {measure.get('number')}", "a time signature cannot be read; the one before stays", _EXPORT
                )


def _part_chords_from_rests(measure: Element) -> None:
    """A chord of which a note has become a rest is the others."""
    notes = list(measure.iter("note"))
    for note, after in zip_longest(notes, notes[1:]):
        if note.find("rest") is None:
            continue
        chord = after.find("chord") if after is not None else None
        if note.find("chord") is not None:
            measure.remove(note)
        elif after is not None and chord is not None:
            measure.remove(note)
            after.remove(chord)


def _sounds(measure: Element) -> bool:
    return any(note.find("rest") is None for note in measure.iter("note"))


def _mend_divisions(part: Element, odd: Oddities) -> None:
    """The unit of lengths, where none is given or nearly all notes that it is given for have another: their symbols
    say what it is."""
    said: list[tuple[str, Element | None, Counter[int]]] = []
    for measure in part.iter("measure"):
        for attributes in measure.iter("attributes"):
            for unreadable in [d for d in attributes.findall("divisions") if not readable(d, MUSICXML_NUMBERS)]:
                attributes.remove(unreadable)
                if said:
                    odd.add(f"bar {measure.get('number')}", "the unit of lengths cannot be read; the one before stays",
                            _EXPORT)  # fmt: skip
        for element in measure.iter():
            if element.tag == "attributes":
                said += [
                    (measure.get("number", ""), divisions, Counter()) for divisions in element.findall("divisions")
                ]
            elif element.tag == "note":
                if not said:
                    said.append((measure.get("number", ""), None, Counter()))
                stated = said[-1][1]
                if unit := _unit_of(element, int(stated.text or "") if stated is not None else None):
                    said[-1][2][unit] += 1
    for number, divisions, votes in said:
        unit, agreeing = votes.most_common(1)[0] if votes else (1, 0)
        if divisions is None:
            measure = next(part.iter("measure"))
            holder = measure.find("attributes")
            if holder is None:
                holder = Element("attributes")
                measure.insert(0, holder)
            _place(holder, "divisions", str(unit))
            odd.add(f"bar {number}", f"the unit of lengths is not said; the notes go by {unit} a quarter", _EXPORT)
        elif int(divisions.text or "") != unit and agreeing >= FEWEST_AGREEING and agreeing > 0.9 * votes.total():
            divisions.text = str(unit)
            odd.add(f"bar {number}", f"the unit of lengths cannot be; the notes go by {unit} a quarter", _EXPORT)


def _unit_of(note: Element, stated: int | None) -> int | None:
    """How many divisions a quarter has by one note's length and symbol: those stated, if but for rounding."""
    symbol, duration = symbol_of(note), note.find("duration")
    if symbol is None or duration is None or not readable(duration, MUSICXML_NUMBERS):
        return None
    length = Fraction((duration.text or "").strip())
    if stated is not None and abs(length - symbol * stated) < 1:
        return stated
    unit = length / symbol
    return int(unit) if unit.denominator == 1 and unit > 0 else None
