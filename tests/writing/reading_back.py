"""MusicXML read back by its durations alone, without the project's reader: what stands in each bar, staff and voice.

``spelled(text, staff)`` gives one staff in the notation of ``tests/notation.py``, so that a test shows what goes in
and what is written in the same letters. Beyond that notation ``-`` is a rest that is not printed, ``[`` and ``]``
stand before the first and the last value of a tuplet's bracket, and a value that the file leaves out is ``?``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree import ElementTree

from sitegen.reduction.nouns import Stage, StageNote
from sitegen.score import Score

_LETTERS = {
    "breve": "b", "whole": "w", "half": "h", "quarter": "q", "eighth": "e", "16th": "s", "32nd": "t", "64th": "x",
}  # fmt: skip
_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


@dataclass
class Event:
    """A chord, a note or a rest: ``onset`` and ``duration`` in quarters from the bar line; ``heads`` are ids."""

    onset: Fraction
    duration: Fraction
    voice: str
    staff: int
    value: str
    pitches: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)
    ties: list[set[str]] = field(default_factory=list)
    accidentals: list[str] = field(default_factory=list)
    rest: bool = False
    hidden: bool = False
    grace: bool = False
    rolled: bool = False
    ornaments: list[str] = field(default_factory=list)
    bracket: set[str] = field(default_factory=set)
    beams: tuple[str, ...] = ()


@dataclass
class WrittenBar:
    """One bar of the file: every event, and its attributes by element."""

    number: str
    events: list[Event]
    element: ElementTree.Element

    def of_staff(self, staff: int) -> list[Event]:
        return [event for event in self.events if event.staff == staff]


def stage_of(score: Score, slug: str = "all") -> Stage:
    """Every note of a score as a stage, voices and signs kept, as the score as written has them."""
    notes = tuple(
        StageNote(n.id, n.onset, n.duration, n.pitch, n.staff, (n.id,), n.grace, n.arpeggio, False, n.voice,
                  n.ornaments, n.small)
        for n in score.notes
    )  # fmt: skip
    return Stage(slug, slug.capitalize(), (), notes)


def without_voices(stage: Stage) -> Stage:
    """The stage as a technique makes it, with no voice in particular for any note."""
    notes = tuple(
        StageNote(n.id, n.onset, n.duration, n.pitch, n.staff, n.sources, n.grace, n.rolled) for n in stage.notes
    )
    return Stage(stage.slug, stage.title, stage.techniques, notes)


def read_bars(text: str) -> list[WrittenBar]:
    """The bars of a file, its parts numbered on as staves."""
    root = ElementTree.fromstring(text)
    bars: list[WrittenBar] = []
    before = 0
    for part in root.iter("part"):
        divisions, staves = 1, 1
        for index, measure in enumerate(part.iter("measure")):
            divisions = int(measure.findtext("attributes/divisions") or divisions)
            staves = max(staves, int(measure.findtext("attributes/staves") or 1))
            if index == len(bars):
                bars.append(WrittenBar(measure.get("number", ""), [], measure))
            bars[index].events += _events(measure, divisions, before)
        before += staves
    return bars


def staves_of(text: str) -> int:
    """How many staves the file has."""
    root = ElementTree.fromstring(text)
    return sum(max([1, *(int(e.text or 1) for e in part.iter("staves"))]) for part in root.iter("part"))


def _events(measure: ElementTree.Element, divisions: int, before: int) -> list[Event]:
    events: list[Event] = []
    at = Fraction(0)
    for element in measure:
        length = Fraction(int(element.findtext("duration") or 0), divisions)
        if element.tag == "backup":
            at -= length
        elif element.tag == "forward":
            at += length
        elif element.tag == "note":
            if element.find("chord") is not None:
                _add_head(events[-1], element)
                continue
            staff = before + int(element.findtext("staff") or 1)
            event = Event(at, length, element.findtext("voice") or "", staff, _value(element))
            event.rest = element.find("rest") is not None
            event.hidden = element.get("print-object") == "no"
            event.grace = element.find("grace") is not None
            event.bracket = {e.get("type", "") for e in element.iterfind("notations/tuplet")}
            event.beams = tuple(e.text or "" for e in element.iterfind("beam"))
            _add_head(event, element)
            events.append(event)
            at += length
    return events


def _add_head(event: Event, element: ElementTree.Element) -> None:
    event.rolled = event.rolled or element.find("notations/arpeggiate") is not None
    event.ornaments += [e.tag for e in element.iterfind("notations/ornaments/*")]
    if event.rest:
        return
    alter = int(float(element.findtext("pitch/alter") or 0))
    event.pitches.append(f"{element.findtext('pitch/step')}{_SIGNS[alter]}{element.findtext('pitch/octave')}")
    event.heads.append(element.get("id", ""))
    event.ties.append({e.get("type", "") for e in element.iterfind("tie")})
    event.accidentals.append(element.findtext("accidental") or "")


def _value(element: ElementTree.Element) -> str:
    """The printed value in letters: ``q.`` a dotted quarter, ``e3`` one of three in the time of two."""
    letter = _LETTERS.get(element.findtext("type") or "", "?")
    actual = element.findtext("time-modification/actual-notes")
    return letter + "." * len(element.findall("dot")) + (actual or "")


def spelled(text: str, staff: int = 1) -> str:
    """One staff of the file, bar after bar, its voices divided by ``;``."""
    return " | ".join(_spelled_bar(bar.of_staff(staff)) for bar in read_bars(text))


def _spelled_bar(events: list[Event]) -> str:
    voices: dict[str, list[Event]] = {}
    for event in events:
        voices.setdefault(event.voice, []).append(event)
    return " ; ".join(" ".join(map(_spelled_event, of_voice)) for of_voice in voices.values())


def _spelled_event(event: Event) -> str:
    value = "g" if event.grace else event.value
    opening = "[" if "start" in event.bracket else ""
    closing = "]" if "stop" in event.bracket else ""
    if event.rest:
        return f"{opening}{'-' if event.hidden else 'r'}{value}{closing}"
    tie = "~" if any("start" in ties for ties in event.ties) else ""
    roll = "!arp" if event.rolled else ""
    signs = "".join(f"!{sign}" for sign in event.ornaments)
    return f"{opening}{'+'.join(event.pitches)}{value}{tie}{closing}{roll}{signs}"


def accidentals(text: str, staff: int = 1) -> str:
    """The notes of one staff in order of onset with the accidental drawn at each: ``"F#4 sharp"``, ``"F#4"``."""
    bars = []
    for bar in read_bars(text):
        drawn = [
            (event.onset, not event.grace, number, f"{pitch} {sign}".strip())
            for number, event in enumerate(bar.of_staff(staff))
            for pitch, sign in zip(event.pitches, event.accidentals, strict=True)
        ]
        bars.append(", ".join(note for *_, note in sorted(drawn, key=lambda d: d[:3])))
    return " | ".join(bars)


def faults_in_bars(text: str, score: Score) -> list[str]:
    """Where a bar of a staff is not filled exactly: no staff without a voice, and no voice with a hole or an overlap,
    neither short of the bar line nor past it."""
    found = []
    bars = read_bars(text)
    if len(bars) != len(score.bars):
        return [f"{len(bars)} bars are written of {len(score.bars)}"]
    for staff in range(1, staves_of(text) + 1):
        for bar, ours in zip(bars, score.bars, strict=True):
            voices: dict[str, list[Event]] = {}
            for event in bar.of_staff(staff):
                if not event.grace:
                    voices.setdefault(event.voice, []).append(event)
            if not voices:
                found.append(f"bar {bar.number}, staff {staff} is empty")
            for voice, events in voices.items():
                at = Fraction(0)
                for event in events:
                    if event.onset != at:
                        found.append(f"bar {bar.number}, staff {staff}, voice {voice}: hole or overlap at {at}")
                    at = event.onset + event.duration
                if at != score.quarters(ours.length):
                    found.append(f"bar {bar.number}, staff {staff}, voice {voice} ends at {at}")
    return found
