"""Bars in which an octave sign begins or ends among several voices, put in the order in which programs read it.

An octave sign is taken to move what stands between its two ends in the file, whichever voice that is in. Voices written
one after the other would put notes from before its beginning, and from after its end, between them. There the voices of
its staff are written stretch by stretch: what all have before it, what all have under it, the rest. What is struck last
under it stands last, so that it is drawn as far as that.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``backup`` and ``forward``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement

from sitegen.score import Score, Sign

Item = tuple[int, Element]
"""What stands in a bar, with its place in divisions from the bar line."""


def order_under_octave_signs(tree: Element, score: Score, signs: Iterable[Sign]) -> None:
    """Amend a score that music21 wrote, whose voices fill their bars exactly."""
    of_staff: dict[int, list[Sign]] = defaultdict(list)
    for sign in signs:
        of_staff[sign.staff].append(sign)
    units = int(tree.findtext("part/measure/attributes/divisions") or 1) // score.ticks_per_quarter
    before = 0
    for part in tree.iter("part"):
        staves = max([1, *(int(e.text or 1) for e in part.iter("staves"))])
        for bar, measure in zip(score.bars, part.iter("measure"), strict=True):
            for staff in range(1, staves + 1):
                places = [
                    ((s.onset - bar.onset) * units, (s.end - bar.onset) * units)
                    for s in of_staff[before + staff]
                    if bar.onset < s.end and s.onset < bar.end
                ]
                if places:
                    _order(measure, staff, places)
        before += staves


def _order(measure: Element, staff: int, signs: list[tuple[int, int]]) -> None:
    """Write the voices of a staff, which stand next to each other in the bar, stretch by stretch; ``signs`` are the
    places from and to which octave signs hold."""
    voices = [voice for voice in _voices(measure) if _staff(voice) == staff]
    if len(voices) < 2:
        return
    length = max(at + _length(e) for voice in voices for at, e in voice)
    struck = [at for voice in voices for at, e in voice if e.tag == "note" and e.find("rest") is None]
    cuts = {place for sign in signs for place in sign if 0 < place < length}
    cuts |= {max((at for at in struck if start <= at < end), default=0) for start, end in signs if end <= length}
    if not cuts - {0}:
        return
    children = list(measure)
    first, last = children.index(voices[0][0][1]), children.index(voices[-1][-1][1])
    for element in children[first : last + 1]:
        measure.remove(element)
    at, new = 0, list[Element]()
    for start, end in pairwise(sorted({0, length + 1, *cuts})):
        parts = [part for voice in voices if (part := [item for item in voice if start <= item[0] < end])]
        for part in sorted(parts, key=lambda part: part[0][0] if start else 0):
            new += _leap(at, part[0][0]) if new else ()
            new += [element for _, element in part]
            at = max(place + _length(element) for place, element in part)
    new += _leap(at, length) if at < length else ()
    for place, element in enumerate(new, first):
        measure.insert(place, element)


def _voices(measure: Element) -> list[list[Item]]:
    """What stands between the places at which the file goes back in the bar."""
    voices: list[list[Item]] = [[]]
    at = 0
    for element in measure:
        if element.tag == "backup":
            at -= int(element.findtext("duration") or 0)
            voices.append([])
            continue
        chord = element.tag == "note" and element.find("chord") is not None
        voices[-1].append((voices[-1][-1][0] if chord else at, element))
        at += _length(element)
    return [voice for voice in voices if voice]


def _staff(voice: Iterable[Item]) -> int:
    return next((int(e.findtext("staff") or 1) for _, e in voice if e.tag == "note"), 0)


def _length(element: Element) -> int:
    if element.tag not in ("note", "forward") or element.find("chord") is not None:
        return 0
    return int(element.findtext("duration") or 0)


def _leap(start: int, to: int) -> list[Element]:
    """From one place of a bar to another, always by a step back: programs look for another voice behind one."""
    steps = (("backup", start), ("forward", to)) if start <= to else (("backup", start - to),)
    found = []
    for name, length in steps:
        if length:
            found.append(Element(name))
            SubElement(found[-1], "duration").text = str(length)
    return found
