"""When the notes of a Humdrum file sound, from its own tokens; where a spine lacks a value.

A spine goes on without a gap: each token begins where the one before it in its spine ended, and those of one line begin
together. Where a token begins later than its spine had come, or a bar line finds a spine short, values are missing
there; nothing is moved, the spine is silent so long. A grace takes no time.

Source: the Humdrum user guide, "Representing music using **kern"; the reference manual on ``**recip``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from sitegen.score.bar_lengths import VoiceReach
from sitegen.score.oddities import Oddities

_LENGTH = re.compile(r"(\d+)(?:%(\d+))?(\.*)")
_LONG = {"0": Fraction(8), "00": Fraction(16), "000": Fraction(32)}
_MOST_DIGITS = 6
_NUMBER = re.compile(r"=+(\d+\w*)")


@dataclass(slots=True)
class HumdrumTimes:
    """``places`` by the id that a note has in the drawing: bar by index, onset and duration in quarters. ``reach`` says
    how far the spines of each bar go; ``bars`` how many bars there are."""

    places: dict[str, tuple[int, Fraction, Fraction]] = field(default_factory=dict)
    reach: dict[int, list[VoiceReach]] = field(default_factory=dict)
    bars: int = 0


@dataclass(slots=True)
class _Spine:
    """One spine: ``end`` is how far it has come in its bar, in quarters; ``voice`` how far its notes go."""

    kind: str
    end: Fraction = Fraction(0)
    voice: VoiceReach = field(default_factory=VoiceReach)
    met: bool = False


def read_humdrum_times(text: str, odd: Oddities) -> HumdrumTimes:
    """The times of a Humdrum text whose lines hold together; a spine that lacks values is said in ``odd``."""
    times = HumdrumTimes()
    spines: list[_Spine] = []
    here: list[_Spine] = []
    at, number, begun = Fraction(0), "", False
    for line_number, line in enumerate(text.splitlines(), 1):
        fields = line.split("\t")
        if not line or line[0] == "!":
            continue
        if line.startswith("**"):
            spines = [_Spine(kind) for kind in fields]
        elif line[0] == "*":
            spines = _interpreted(fields, spines)
        elif line[0] == "=":
            if begun:
                _close(spines, here, number, times, odd)
            found = _NUMBER.match(line)
            number = found[1] if found else number
            begun, here, at = False, [], Fraction(0)
            for spine in spines:
                spine.end, spine.voice, spine.met = Fraction(0), VoiceReach(), False
        else:
            begun = True
            at = _line(line_number, fields, spines, at, times, number, odd)
            here += [s for s in spines if s.kind == "**kern" and all(s is not other for other in here)]
    if begun:
        _close(spines, here, number, times, odd)
    return times


def _line(
    number: int, fields: list[str], spines: list[_Spine], at: Fraction, times: HumdrumTimes, bar: str, odd: Oddities
) -> Fraction:
    """Place the tokens of one line; returns when it stands, in quarters from the bar line."""
    tokens = [(place, spine, token) for place, (spine, token) in enumerate(zip(spines, fields, strict=False), 1)
              if spine.kind == "**kern" and token != "."]  # fmt: skip
    timed = [(place, spine, token, length) for place, spine, token in tokens if (length := _length(token)) is not None]
    if timed:
        at = max(at, max(spine.end for _, spine, _, _ in timed))
    for place, spine, token, length in timed:
        if spine.end < at:
            _lacks(bar, odd)
        spine.voice.goes_on(at, length, "r" not in token)
        _place(number, place, token, times, at, length)
        spine.end, spine.met = at + length, True
    for place, spine, token in tokens:
        if _length(token) is None:
            _place(number, place, token, times, spine.end if not timed else at, Fraction(0))
    return at


def _place(line: int, field_number: int, token: str, times: HumdrumTimes, at: Fraction, length: Fraction) -> None:
    notes = token.split(" ")
    for n, note in enumerate(notes, 1):
        own = _length(note)
        name = f"note-L{line}F{field_number}" + (f"S{n}" if len(notes) > 1 else "")
        times.places[name] = times.bars, at, length if own is None or len(notes) > 1 else own


def _close(spines: list[_Spine], here: list[_Spine], bar: str, times: HumdrumTimes, odd: Oddities) -> None:
    kern = [spine for spine in spines if spine.kind == "**kern"]
    longest = max((spine.end for spine in kern), default=Fraction(0))
    if any(spine.end < longest for spine in kern):
        _lacks(bar, odd)
    times.reach[times.bars] = [spine.voice for spine in here if spine.met]
    times.bars += 1


def _lacks(bar: str, odd: Oddities) -> None:
    odd.add(f"bar {bar}" if bar else "", "a spine lacks a value where others go on; it is silent so long",
            "Write a rest, or the missing note.")  # fmt: skip


def _length(token: str) -> Fraction | None:
    """The length of a note, chord or rest in quarters; None for a grace."""
    first = token.split(" ")[0]
    found = _LENGTH.search(first)
    if "q" in first or "Q" in first or found is None or len(found[1]) > _MOST_DIGITS:
        return None
    value = _LONG.get(found[1])
    if value is None:
        value = Fraction(4 * int((found[2] or "1")[:_MOST_DIGITS]), int(found[1]) or 1)
    return value * (2 - Fraction(1, 2 ** min(len(found[3]), 8)))


def _interpreted(fields: list[str], spines: list[_Spine]) -> list[_Spine]:
    """The spines after a line of interpretations."""
    after: list[_Spine] = []
    joined: _Spine | None = None
    for token, spine in zip(fields, spines, strict=False):
        if token == "*v":
            if joined is None:
                after.append(spine)
                joined = spine
            else:
                joined.end = max(joined.end, spine.end)
            continue
        joined = None
        if token == "*^":
            after += [spine, _Spine(spine.kind, spine.end)]
        elif token == "*+":
            after += [spine, _Spine("**")]
        elif token.startswith("**"):
            after.append(_Spine(token, spine.end))
        elif token != "*-":
            after.append(spine)
    return after
