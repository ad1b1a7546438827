"""A few notes as a ``Score``, in one line of text a staff, so that a test shows the music it speaks of.

    score_of(right="C5q D5q E5h", left="C3e G3 E3 G3 C3 G3 E3 G3", metre="4/4", key=0)

=============  ====================================================================================
``C5q``        a note: spelling (``F#4``, ``Bb3``, ``C##5``, ``Ebb4``), then its value
``w h q e s t x``  whole, half, quarter, eighth, sixteenth, 32nd, 64th; ``q.`` is dotted, ``e3`` one of a triplet.
               Left out, it is that of the note before (a quarter at first)
``C4+E4+G4q``  a chord
``rq``         a rest (``r`` alone takes the value before)
``C5q~ C5e``   a tie (in a chord, of all its notes)
``D5g C5q``    a grace note
``|``          a bar line: optional, but it must stand where one is. If the first comes early, it ends an upbeat
``;``          a second voice of the same staff from its start: ``"E5h G5h ; C5q D5q C5h"``
``^ ( )``      after the value: a fermata, a slur's start and end; ``!trill`` an ornament, ``!arp`` a rolled
               chord, ``!trem`` a tremolo, ``!small`` small print, ``!implied`` small and not printed;
               ``!staccato``, ``!accent``, ``!tenuto`` ... an articulation, ``!3`` the third finger
``*p``         between notes, a sign of the staff at this place: a dynamic; ``*<`` and ``*>`` begin a hairpin, ``*.``
               ends it; ``*ped`` and ``*up``; ``*8va`` and ``*loco``; anything else is words (``*dolce``)
=============  ====================================================================================

Ids say which note is meant: the first E5 to sound in the score is ``E5``, the next ``E5.2``; ``#`` is written ``s``
(``Fs4``), for ids of XML bear no ``#``. Tied heads after the first get ``-2``, ``-3`` ... Staves are, from the top:
``singer`` (if given, played by no hand), ``right``, ``left``.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import dataclass, replace
from fractions import Fraction

from sitegen.score import Bar, Hand, Metre, Note, Notehead, Pitch, Score, Sign, Slur, Staff

_VALUES = {"w": 4, "h": 2, "q": 1, "e": Fraction(1, 2), "s": Fraction(1, 4), "t": Fraction(1, 8), "x": Fraction(1, 16)}
_TOKEN = re.compile(
    r"(?P<what>r|[A-G](?:#|b)*\d(?:\+[A-G](?:#|b)*\d)*)(?:(?P<value>[whqestxg])(?P<dots>\.*)(?P<three>3?))?"
    r"(?P<marks>[~^()]*)(?P<signs>(?:![a-z0-9-]+)*)"
)
_MARKS = ("arp", "trem", "small", "implied")
_ARTICULATIONS = ("staccato", "staccatissimo", "tenuto", "accent", "strong-accent", "breath-mark")
_DYNAMIC = re.compile(r"p+|f+|m[pf]|sf|sfz|fp")
_BEGIN = {"<": ("hairpin", "crescendo"), ">": ("hairpin", "diminuendo"), "ped": ("pedal", ""), "8va": ("octave", "1")}
_END = {".": "hairpin", "up": "pedal", "loco": "octave"}
_PITCH = re.compile(r"([A-G])((?:#|b)*)(\d)")


@dataclass
class _Event:
    onset: Fraction
    length: Fraction
    pitches: list[Pitch]
    voice: int
    grace: bool
    marks: str
    signs: list[str]


def score_of(right: str = "", left: str = "", metre: str = "4/4", key: int = 0, singer: str = "") -> Score:
    """The score that the text spells; ``key`` counts sharps (flats negative).

    Raises ``ValueError`` for a token that is not understood and for a bar line that stands off its place.
    """
    beats, beat_type = map(int, metre.split("/"))
    time = Metre(beats, beat_type)
    parts: list[tuple[str, str, Hand | None]] = [
        ("singer", singer, None),
        ("right", right, "right"),
        ("left", left, "left"),
    ]
    given = [part for part in parts if part[1]] or [parts[1]]
    upbeat = next((u for _, text, _ in given if (u := _upbeat(text, time)) is not None), Fraction(0))
    events = [
        event
        for number, (_, text, _) in enumerate(given)
        for position, line in enumerate(text.split(";"))
        for event in _read(line, 4 * number + position + 1, time.quarters, upbeat)
    ]
    end = max((e.onset + e.length for e in events), default=Fraction(0))
    values = [e.onset for e in events] + [e.length for e in events] + [time.quarters, time.beat_quarters]
    tpq = math.lcm(4, *(Fraction(v).denominator for v in values))
    bars = _bars(time, key, upbeat, max(end, time.quarters), tpq)
    staves = tuple(Staff(i + 1, hand, name) for i, (name, _, hand) in enumerate(given))
    notes = _notes([e for e in events if e.pitches], bars, tpq)
    signs = _signs([e for e in events if not e.pitches], tpq)
    return Score(tpq, bars, staves, notes, signs=signs, slurs=_slurs(notes))


def _signs(events: list[_Event], tpq: int) -> tuple[Sign, ...]:
    """The signs of the staves; a stretch that is not ended ends where it begins."""
    signs: list[Sign] = []
    for event in events:
        (text,), staff, at = event.signs, (event.voice - 1) // 4 + 1, int(event.onset * tpq)
        if text in _END:
            place = next(
                k for k in range(len(signs) - 1, -1, -1) if (signs[k].kind, signs[k].staff) == (_END[text], staff)
            )
            signs[place] = replace(signs[place], end=at)
        elif text in _BEGIN:
            kind, says = _BEGIN[text]
            signs.append(Sign(kind, staff, at, at, says))  # type: ignore[arg-type]
        else:
            signs.append(Sign("dynamic" if _DYNAMIC.fullmatch(text) else "words", staff, at, at, text))
    return tuple(sorted(signs, key=lambda s: (s.onset, s.staff)))


def _slurs(notes: tuple[Note, ...]) -> tuple[Slur, ...]:
    """Each slur from the note where it starts to the one of its voice where it ends, the last begun first."""
    slurs, opened = [], defaultdict[int, list[Note]](list)
    for note in notes:
        if note.slur_end and opened[note.voice]:
            first = opened[note.voice].pop()
            slurs.append(Slur(first.id, note.id, first.onset, note.noteheads[-1].onset))
        if note.slur_start:
            opened[note.voice].append(note)
    return tuple(sorted(slurs, key=lambda s: s.onset))


def ids_of(score: Score, staff: int | None = None) -> str:
    """The ids of the notes in order, joined by spaces: ``"C3 E3 G3"``."""
    return " ".join(note.id for note in score.notes if staff is None or note.staff == staff)


def _upbeat(text: str, time: Metre) -> Fraction | None:
    first, bar_line, _ = text.split(";")[0].partition("|")
    if not bar_line:
        return None
    length = sum((e.length for e in _read(first, 1, time.quarters, Fraction(0), rests=True)), Fraction(0))
    return length if length < time.quarters else Fraction(0)


def _read(text: str, voice: int, bar: Fraction, upbeat: Fraction, rests: bool = False) -> list[_Event]:
    events, at, length = [], Fraction(0), Fraction(1)
    for token in text.split():
        if token.startswith("*"):
            events.append(_Event(at, Fraction(0), [], voice, False, "", [token[1:]]))
            continue
        if token == "|":
            if (at - upbeat) % bar:
                raise ValueError(f"a bar line stands {(at - upbeat) % bar} quarters into a bar: {text}")
            continue
        found = _TOKEN.fullmatch(token)
        if found is None:
            raise ValueError(f"not understood: {token}")
        grace = found["value"] == "g"
        if found["value"] and not grace:
            length = Fraction(_VALUES[found["value"]]) * (2 - Fraction(1, 2 ** len(found["dots"] or "")))
            length *= Fraction(2, 3) if found["three"] else 1
        held = Fraction(0) if grace else length
        pitches = [_pitch(*p) for p in _PITCH.findall(found["what"])]
        if pitches or rests:
            signs = found["signs"].split("!")[1:]
            events.append(_Event(at, held, pitches, voice, grace, found["marks"], signs))
        at += held
    return events


def _pitch(step: str, signs: str, octave: str) -> Pitch:
    return Pitch(step, signs.count("#") - signs.count("b"), int(octave))


def _bars(time: Metre, key: int, upbeat: Fraction, end: Fraction, tpq: int) -> tuple[Bar, ...]:
    full = int(time.quarters * tpq)
    bars = [Bar(0, "0", 0, int(upbeat * tpq), time, key, lead=full - int(upbeat * tpq))] if upbeat else []
    while not bars or bars[-1].end < end * tpq:
        bars.append(Bar(len(bars), str(len(bars) + (not upbeat)), bars[-1].end if bars else 0, full, time, key))
    return tuple(bars)


def _notes(events: list[_Event], bars: tuple[Bar, ...], tpq: int) -> tuple[Note, ...]:
    notes: list[Note] = []
    tied: dict[tuple[int, Pitch], int] = {}
    for number, event in enumerate(sorted(events, key=lambda e: (e.voice, e.onset))):
        onset, duration = int(event.onset * tpq), int(event.length * tpq)
        bar = next((b.index for b in reversed(bars) if b.onset <= onset), 0)
        for pitch in event.pitches:
            head = Notehead("", bar, onset, duration)
            before = tied.pop((event.voice, pitch), None)
            if before is not None:
                first = notes[before]
                notes[before] = replace(
                    first, duration=first.duration + duration, noteheads=(*first.noteheads, head),
                    fermata=first.fermata or "^" in event.marks, slur_end=")" in event.marks,
                )  # fmt: skip
                here = before
            else:
                here = len(notes)
                notes.append(Note(
                    "", bar, onset, duration, pitch, (event.voice - 1) // 4 + 1, event.voice, event.grace, (head,),
                    ornaments=tuple(s for s in event.signs if s not in (*_MARKS, *_ARTICULATIONS) and not s.isdigit()),
                    articulations=tuple(s for s in event.signs if s in _ARTICULATIONS),
                    fingerings=tuple(s for s in event.signs if s.isdigit()), arpeggio="arp" in event.signs,
                    small=bool({"small", "implied"} & set(event.signs)), implied="implied" in event.signs,
                    tremolo="trem" in event.signs, fermata="^" in event.marks, slur_start="(" in event.marks,
                    slur_end=")" in event.marks, chord=f"chord{number}" if len(event.pitches) > 1 else "",
                ))  # fmt: skip
            if "~" in event.marks:
                tied[event.voice, pitch] = here
    # graces keep the order they are written in; the rest go from low to high, as in every Score
    ordered = sorted(
        enumerate(notes), key=lambda p: (p[1].onset, not p[1].grace, p[0] if p[1].grace else p[1].midi, p[1].staff)
    )
    return _name([note for _, note in ordered])


def _name(notes: list[Note]) -> tuple[Note, ...]:
    count: dict[str, int] = {}
    named = []
    for note in notes:
        spelling = note.pitch.name.replace("#", "s")
        count[spelling] = count.get(spelling, 0) + 1
        name = spelling if count[spelling] == 1 else f"{spelling}.{count[spelling]}"
        heads = tuple(replace(h, id=name if i == 0 else f"{name}-{i + 1}") for i, h in enumerate(note.noteheads))
        named.append(replace(note, id=name, noteheads=heads))
    return tuple(named)
