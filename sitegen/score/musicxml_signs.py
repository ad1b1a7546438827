"""Slurs, dynamics, hairpins, articulation, fingering, pedal and octave signs as a MusicXML file itself has them.

Read from the file and not from what is imported: there a sign is moved to a beat, and one whose end is missing, or
stands earlier in the file than its beginning, is lost. Ends are paired by their number; of several, in one voice or
staff first.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``direction``, ``slur``,
``wedge``, ``octave-shift``, ``pedal``, ``articulations``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from sitegen.score.headings import FIRST_BARS, TITLE_SIZE
from sitegen.score.lettering import in_letters
from sitegen.score.musicxml_times import FoundElement, Times
from sitegen.score.sign_nouns import Placement, SignKind
from sitegen.score.signs_found import SignFound, SignPlace, SignsFound, SlurFound

ARTICULATIONS = ("staccato", "staccatissimo", "spiccato", "tenuto", "accent", "strong-accent", "detached-legato",
                 "soft-accent", "stress", "unstress", "breath-mark", "caesura")  # fmt: skip
_HAIRPINS = ("crescendo", "diminuendo")
_OCTAVES = {"8": 1, "15": 2, "22": 3}


@dataclass(frozen=True, slots=True)
class _End:
    """One end of what stretches: its ``number`` tells it from others, ``text`` is what its beginning says."""

    kind: SignKind | None
    number: str
    opens: bool
    closes: bool
    part: int
    staff: int
    voice: str
    place: SignPlace
    text: str = ""
    placement: Placement = ""
    note: str = ""


def read_musicxml_signs(times: Times) -> SignsFound:
    """The signs of a MusicXML file whose notes and directions stand as ``times`` says."""
    found = SignsFound()
    ends: list[_End] = []
    for note in times.notes:
        _read_note(note, found)
        ends += _slur_ends(note)
    for direction in times.directions:
        ends += _read_direction(direction, found)
    stretches = [e for e in ends if e.kind is not None]
    for first, last in _pair([e for e in ends if e.kind is None], in_time=False):
        if last is not None:
            found.slurs.append(SlurFound(first.note, last.note, first.placement))
    for first, last in _pair(sorted(stretches, key=lambda e: e.place), in_time=True):
        assert first.kind is not None
        if last is not None or first.kind == "pedal":
            stop = last.place if last is not None else first.place
            found.signs.append(SignFound(first.kind, first.staff, first.place, stop, first.text, first.placement))
    return found


def _read_note(standing: FoundElement, found: SignsFound) -> None:
    name = standing.element.get("id", "")
    for notations in standing.element.iterfind("notations"):
        for element in notations.iterfind("articulations/*"):
            if element.tag in ARTICULATIONS:
                found.articulations[name].append(element.tag)
        for element in notations.iterfind("technical/fingering"):
            if (element.text or "").strip():
                found.fingerings[name].append((element.text or "").strip())
        for element in notations.iterfind("dynamics"):
            _dynamic(element, standing, found)
        if notations.find("fermata") is not None and standing.element.find("rest") is not None:
            found.signs.append(SignFound("fermata", standing.staff, standing.place, standing.place))


def _slur_ends(standing: FoundElement) -> Iterator[_End]:
    slurs = standing.element.findall("notations/slur")
    # a note that ends one slur and begins the next under the same number says both in any order
    for slur in sorted(slurs, key=lambda e: e.get("type") != "stop"):
        if slur.get("type") in ("start", "stop"):
            opens = slur.get("type") == "start"
            name = standing.element.get("id", "")
            yield _End(None, slur.get("number") or "1", opens, not opens, standing.part, standing.staff,
                       standing.voice, standing.place, "", _slur_placement(slur), name)  # fmt: skip


def _read_direction(standing: FoundElement, found: SignsFound) -> Iterator[_End]:
    direction = standing.element
    sound = direction.find("sound")
    of_tempo = direction.find("direction-type/metronome") is not None or (
        sound is not None and sound.get("tempo") is not None
    )
    words = [] if of_tempo else [e.text or "" for e in direction.iterfind("direction-type/words")]
    text = " ".join(" ".join(words).split())
    place = standing.place
    if any(letter.isalpha() for letter in in_letters(text)) and not (place[0] < FIRST_BARS and _is_title(direction)):
        found.signs.append(SignFound("words", standing.staff, place, place, text, _placement(direction)))
    for element in direction.iterfind("direction-type/*"):
        if element.tag == "dynamics":
            _dynamic(element, standing, found)
        elif element.tag in _STRETCHES:
            kind, text, opens, closes = _STRETCHES[element.tag](element)
            if opens or closes:
                yield _End(kind, element.get("number") or "1", opens, closes, standing.part, standing.staff,
                           standing.voice, standing.place, text, _placement(direction))  # fmt: skip


def _is_title(direction: Element) -> bool:
    sizes = [e.get("font-size", "") for e in direction.iterfind("direction-type/words")]
    return any(re.fullmatch(r"\d+(\.\d*)?", size) and float(size) >= TITLE_SIZE for size in sizes)


def _dynamic(element: Element, standing: FoundElement, found: SignsFound) -> None:
    text = "".join(child.text or "" if child.tag == "other-dynamics" else child.tag for child in element).strip()
    if text:
        placement = _placement(element) or _placement(standing.element)
        found.signs.append(SignFound("dynamic", standing.staff, standing.place, standing.place, text, placement))


def _wedge(element: Element) -> tuple[SignKind, str, bool, bool]:
    way = element.get("type") or ""
    return "hairpin", way, way in _HAIRPINS, way == "stop"


def _octave(element: Element) -> tuple[SignKind, str, bool, bool]:
    """``down`` says that what stands there is written lower than it sounds."""
    way, octaves = element.get("type"), _OCTAVES.get(element.get("size") or "8", 1)
    return "octave", str(octaves if way == "down" else -octaves), way in ("down", "up"), way == "stop"


def _pedal(element: Element) -> tuple[SignKind, str, bool, bool]:
    way = element.get("type")
    return (
        "pedal",
        "line" if element.get("line") == "yes" else "",
        way in ("start", "change"),
        way in ("stop", "change"),
    )


_STRETCHES = {"wedge": _wedge, "octave-shift": _octave, "pedal": _pedal}


def _pair(ends: Sequence[_End], in_time: bool) -> Iterator[tuple[_End, _End | None]]:
    """Beginnings with their ends, or None where there is none. ``in_time`` says that ``ends`` stand in order of time;
    else in the file's order, where an end may come before its beginning."""
    opened: list[_End] = []
    early: list[_End] = []
    for end in ends:
        if end.closes:
            fitting = [o for o in opened if _one(o, end) and o.place <= end.place]
            if fitting:
                first = max(fitting, key=lambda o: (*_nearness(o, end), opened.index(o)))
                opened.remove(first)
                yield first, end
            elif not in_time:
                early.append(end)
        if end.opens:
            late = next((e for e in early if _one(end, e) and e.place > end.place), None)
            if late is not None:
                early.remove(late)
                yield end, late
            else:
                opened.append(end)
    for first in opened:
        yield first, None


def _nearness(first: _End, last: _End) -> tuple[bool, bool]:
    """What tells of several beginnings the one that an end belongs to; there is one pedal for all staves."""
    pedal = last.kind == "pedal"
    return pedal or first.voice == last.voice, pedal or first.staff == last.staff


def _one(first: _End, last: _End) -> bool:
    return (first.kind, first.number, first.part) == (last.kind, last.number, last.part)


def _slur_placement(element: Element) -> Placement:
    over = {"over": "above", "under": "below"}.get(element.get("orientation") or "", "")
    return _placement(element) or ("above" if over == "above" else "below" if over else "")


def _placement(element: Element) -> Placement:
    value = element.get("placement")
    return "above" if value == "above" else "below" if value == "below" else ""
