"""A metre for MusicXML that has none: where no time signature is given, or the music is free of one.

Where none is given, the bars say it: it is that of the length that most of them have. In free music each bar is as
long as its notes, so each has a metre of its own length. The signature is put into the source and not printed.

Source: the MusicXML 4.0 specification, element ``senza-misura``.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from sitegen.score.musicxml_values import number
from sitegen.score.oddities import Oddities

_UNITS = (4, 8, 16, 32)
_MOST_BEATS = 99


def give_metre(root: Element, odd: Oddities) -> None:
    """Give a partwise tree a time signature where it has none to go by."""
    parts = [list(part.iter("measure")) for part in root.iter("part")]
    if not parts or not all(parts):
        return
    first = [time for part in parts for time in part[0].iterfind("attributes/time")]
    if first and next(root.iter("senza-misura"), None) is None:
        return
    reached = [_lengths(part) for part in parts]
    bars = len(parts[0])
    lengths = [max(own[k] for own in reached if k < len(own)) for k in range(bars)]
    free, said = False, False
    before: tuple[int, int] | None = None
    for index in range(bars):
        measures = [part[index] for part in parts if index < len(part)]
        times = [time for measure in measures for time in measure.iterfind("attributes/time")]
        if times:
            said = True
            free = any(time.find("senza-misura") is not None for time in times)
            before = None
        if free:
            metre = _metre_of(lengths[index]) or before
            if metre is not None and metre != before:
                _put(measures, metre)
            before = metre
        elif not said:
            said = True
            usual = Counter(length for length in lengths if length).most_common(1)
            metre = _metre_of(usual[0][0]) if usual else None
            if metre is not None:
                _put(measures, metre)
                _say(odd, f"{metre[0]}/{metre[1]}")


def _say(odd: Oddities, name: str) -> None:
    if not any(found.what.startswith("a time signature") for found in odd.found):  # that it cannot be read is said
        what = f"no time signature is given; the bars are read in {name}, which most of them fill"
        odd.add("", what, "Set a time signature in a notation editor.")


def _lengths(measures: list[Element]) -> list[Fraction]:
    """How far each bar of a part goes, in quarters."""
    divisions = Fraction(1)
    lengths = []
    for measure in measures:
        at = reached = Fraction(0)
        for element in measure:
            if element.tag == "attributes":
                divisions = number(element.findtext("divisions")) or divisions
            elif element.tag in ("note", "backup", "forward") and element.find("chord") is None:
                length = (number(element.findtext("duration")) or Fraction(0)) / divisions
                at += -length if element.tag == "backup" else length
                reached = max(reached, at)
        lengths.append(reached)
    return lengths


def _metre_of(length: Fraction) -> tuple[int, int] | None:
    """Beats and their unit for a bar of ``length`` quarters, the longest unit that fits; None for an empty one."""
    for unit in _UNITS:
        beats = length * unit / 4
        if beats.denominator == 1 and 0 < beats <= _MOST_BEATS:
            return int(beats), unit
    nearest = round(length * _UNITS[-1] / 4)
    return (nearest, _UNITS[-1]) if 0 < nearest <= _MOST_BEATS else None


def _put(measures: list[Element], metre: tuple[int, int]) -> None:
    for measure in measures:
        attributes = measure.find("attributes")
        if attributes is None:
            attributes = Element("attributes")
            measure.insert(0, attributes)
        for time in attributes.findall("time"):
            attributes.remove(time)
        time = Element("time", {"print-object": "no"})
        SubElement(time, "beats").text = str(metre[0])
        SubElement(time, "beat-type").text = str(metre[1])
        attributes.insert(sum(1 for e in attributes if e.tag in ("footnote", "level", "divisions", "key")), time)
