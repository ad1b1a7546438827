"""From the words in which musicians say where something is to the notes or the stretch of a score.

The form is that of ``sitegen.analysis.addresses``, which prints it. Pitches may be given without their octave where
that leaves one note, and a place without a beat is the whole bar.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sitegen.analysis.addresses import ORDINALS, address_of, bar_names
from sitegen.errors import ContentError
from sitegen.score import Bar, Note, Score

_FORM = "write 'bar 4, beat 2, right hand, top note', 'bar 4, beat 2+1/2, left hand, F#3' or 'bars 5-8, left hand'"
_COUNT = r"(?: \((?P<count>\w+)\))?"
_BAR = re.compile(r"bar (?P<first>\S+?( \(\w+\))?)")
_BARS = re.compile(r"bars (?P<first>\S+?( \(\w+\))?)\s*[-–]\s*(?P<last>\S+?( \(\w+\))?)")
_BEAT = re.compile(r"beat (?P<whole>\d+)(?:\+(?P<over>\d+)/(?P<under>\d+))?")
_HAND = re.compile(r"(?P<hand>left|right) hand")
_STAFF = re.compile(r"staff (?P<staff>\d+)")
_PITCH = re.compile(rf"(?P<step>[A-Ga-g])(?P<signs>##|bb|b|#|)(?P<octave>-?\d+)?{_COUNT}")
_VOICE = re.compile(rf"voice (?P<voice>\d+){_COUNT}")
_GRACE = re.compile(rf"grace note{_COUNT}")
_SIGNS = {"bb": -2, "b": -1, "": 0, "#": 1, "##": 2}


@dataclass(frozen=True, slots=True)
class Address:
    """An address read but not yet found: bars by name, the rest None where it is not said. ``beat`` is in felt
    beats from 0; ``height`` is ``top`` or ``bottom``; ``count`` tells the n-th of notes that are otherwise alike."""

    text: str
    first: str
    last: str
    beat: Fraction | None = None
    hand: str | None = None
    staff: int | None = None
    height: str | None = None
    step: str | None = None
    alter: int = 0
    octave: int | None = None
    voice: int | None = None
    grace: bool = False
    count: int | None = None

    @property
    def is_note(self) -> bool:
        """Whether it speaks of one note."""
        return self.height is not None or self.step is not None or self.grace


@dataclass(frozen=True, slots=True)
class Place:
    """Where an address leads: from ``onset`` up to ``end`` ticks, on these staves."""

    onset: int
    end: int
    staves: tuple[int, ...]


def parse_address(text: object, file: str, line: int) -> Address:
    """Read an address. Raises ``ContentError`` with ``file`` and ``line`` where it does not have the form."""
    parts = [part.strip() for part in str(text).split(",")]
    bars = _BARS.fullmatch(parts[0]) or _BAR.fullmatch(parts[0])
    if not isinstance(text, str) or bars is None:
        raise ContentError(f"'{text}' does not say where: it begins with neither 'bar' nor 'bars'", _FORM, file, line)
    said: dict[str, object] = {"first": bars["first"], "last": bars.groupdict().get("last") or bars["first"]}
    for part in parts[1:]:
        more = _read_part(part)
        if more is None:
            raise ContentError(f"'{part}' in '{text}' is not understood", _FORM, file, line)
        said.update(more)
    return Address(text=text, **said)  # type: ignore[arg-type]


def find_note(score: Score, address: Address, file: str, line: int) -> Note:
    """The one note that an address speaks of. Raises ``ContentError`` where it matches no note, or several."""
    place = find_place(score, address, file, line)
    low = bisect_left(score.notes, place.onset, key=lambda n: n.onset)
    high = bisect_left(score.notes, place.end, key=lambda n: n.onset)
    near = [note for note in score.notes[low:high] if note.staff in place.staves and note.grace == address.grace]
    found = [note for note in near if _fits(address, note)]
    if address.height is not None and found:
        midis = [note.midi for note in found]
        extreme = max(midis) if address.height == "top" else min(midis)
        found = [note for note in found if note.midi == extreme]
    if address.count is not None:
        found = found[address.count - 1 : address.count]
    if len(found) == 1:
        return found[0]
    if found:
        raise ContentError(f"'{address.text}' matches {len(found)} notes", _nearest(score, found), file, line)
    if not near:
        bar = score.bar_at(place.onset)
        near = [note for note in score.notes if bar.onset <= note.onset < bar.end and note.staff in place.staves]
    near.sort(key=lambda n: (abs(n.onset - place.onset), address.step not in (None, n.pitch.step), -n.midi))
    raise ContentError(f"'{address.text}' matches no note", _nearest(score, near), file, line)


def find_place(score: Score, address: Address, file: str, line: int) -> Place:
    """The stretch that an address speaks of: a moment where it gives a beat, else whole bars.

    Raises ``ContentError`` for a bar, beat, hand or staff that the score does not have.
    """
    first, last = _bar(score, address.first, file, line), _bar(score, address.last, file, line)
    if last.index < first.index:
        raise ContentError(f"'{address.text}' ends before it begins", "give the earlier bar first", file, line)
    staves = _staves(score, address, file, line)
    if address.beat is None:
        return Place(first.onset, last.end, staves)
    beats = address.beat * first.metre.beat_quarters * score.ticks_per_quarter
    tick = first.onset - first.lead + beats
    if tick.denominator != 1 or not first.onset <= tick < first.end:
        length = Fraction(first.lead + first.length, score.ticks_per_quarter) / first.metre.beat_quarters
        what = f"bar {address.first} has no place '{_beat_of(address)}'"
        raise ContentError(what, f"it has {-(-length // 1)} beats, in {first.metre.name}", file, line)
    return Place(int(tick), int(tick) + 1, staves)


def _read_part(part: str) -> dict[str, object] | None:
    if found := _BEAT.fullmatch(part):
        fraction = Fraction(int(found["over"]), int(found["under"])) if found["over"] and int(found["under"]) else 0
        return {"beat": int(found["whole"]) - 1 + Fraction(fraction)}
    if found := _HAND.fullmatch(part):
        return {"hand": found["hand"]}
    if found := _STAFF.fullmatch(part):
        return {"staff": int(found["staff"])}
    if found := re.fullmatch(r"(?:the )?(top|bottom) note", part):
        return {"height": found[1]}
    if found := _VOICE.fullmatch(part):
        return {"voice": int(found["voice"])} | _count(found["count"])
    if found := _GRACE.fullmatch(part):
        return {"grace": True} | _count(found["count"])
    if found := _PITCH.fullmatch(part):
        octave = int(found["octave"]) if found["octave"] is not None else None
        pitch = {"step": found["step"].upper(), "alter": _SIGNS[found["signs"]], "octave": octave}
        return pitch | _count(found["count"])
    return None


def _count(word: str | None) -> dict[str, object]:
    if word is None:
        return {}
    if word in ORDINALS:
        return {"count": ORDINALS.index(word) + 1}
    figures = re.match(r"\d+", word)
    return {"count": int(figures[0])} if figures else {}


def _fits(address: Address, note: Note) -> bool:
    return (
        (address.step is None or (note.pitch.step, note.pitch.alter) == (address.step, address.alter))
        and (address.octave is None or note.pitch.octave == address.octave)
        and (address.voice is None or (note.voice - 1) % 4 + 1 == address.voice)
    )


def _bar(score: Score, name: str, file: str, line: int) -> Bar:
    names = bar_names(score)
    if name in names:
        return score.bars[names.index(name)]
    remedy = f"its bars are {names[0]} to {names[-1]}" if names else "it has no bars"
    raise ContentError(f"the score has no bar {name}", remedy, file, line)


def _staves(score: Score, address: Address, file: str, line: int) -> tuple[int, ...]:
    found = tuple(
        staff.number
        for staff in score.staves
        if address.staff in (None, staff.number) and address.hand in (None, staff.hand)
    )
    if not found:
        named = f"staff {address.staff}" if address.staff is not None else f"{address.hand} hand"
        raise ContentError(f"the score has no {named}", f"it has {len(score.staves)} staves", file, line)
    return found


def _beat_of(address: Address) -> str:
    whole, rest = divmod(address.beat or Fraction(0), 1)
    return f"beat {whole + 1}+{rest}" if rest else f"beat {whole + 1}"


def _nearest(score: Score, notes: Sequence[Note]) -> str:
    if not notes:
        return "nothing is played there"
    return "the nearest are: " + "; ".join(f"'{address_of(score, note)}'" for note in notes[:3])
