"""Beams by the metre, and none that runs out of a tuplet: it would draw the note behind it into the group."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import groupby, pairwise

from music21 import beam, meter, note

from sitegen.notation.durations import duration_of
from sitegen.score import Metre

_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6, "512th": 7, "1024th": 8}


def add_beams(
    elements: Sequence[tuple[Fraction, note.GeneralNote]], metre: Metre, lead: Fraction, length: Fraction
) -> None:
    """Beam the notes of one voice of one bar, in order; a bar longer than its metre counts on in its unit.

    ``lead`` is what the metre counts before the first note, ``length`` the length of the bar, in quarters. The
    brackets of tuplets must be set.
    """
    plain = [element for _, element in elements if not element.duration.isGrace]
    unit = Fraction(4, metre.beat_type)
    beats = max(metre.quarters, lead + length) / unit
    if not plain or beats.denominator != 1:
        return
    lengths = tuple((Fraction(e.duration.quarterLength), isinstance(e, note.NotRest)) for e in plain)
    found = [_again(beams) for beams in _by_metre(f"{beats}/{metre.beat_type}", lead, lengths)]
    for first, last in _groups(found):
        for start, end in _within_tuplets(plain, first, last):
            if (start, end) == (first, last):
                _set(plain[start:end], found[start:end])
            else:
                _set(plain[start:end], _beams_of(plain[start:end]))


def join_graces(elements: Sequence[note.GeneralNote]) -> None:
    """Graces that follow each other are semiquavers under one beam, without the stroke of a single one."""
    for is_grace, run in groupby(elements, key=lambda element: element.duration.isGrace):
        graces = list(run)
        if not is_grace or len(graces) < 2:
            continue
        for position, element in enumerate(graces):
            element.duration.type = "16th"
            element.duration.slash = False
            if isinstance(element, note.NotRest):
                element.beams.fill("16th", "start" if not position else "stop" if element is graces[-1] else "continue")


@lru_cache(maxsize=4096)
def _by_metre(
    signature: str, lead: Fraction, lengths: tuple[tuple[Fraction, bool], ...]
) -> tuple[beam.Beams | None, ...]:
    """The beams that music21 gives to lengths in quarters that follow each other, False for rests. Most bars of a piece
    have the rhythm of others, and working it out takes longer than all else that is written of a bar."""
    shape: list[note.GeneralNote] = [note.Note() if sounds else note.Rest() for _, sounds in lengths]
    for element, (length, _) in zip(shape, lengths, strict=True):
        element.duration = duration_of(length)
    return tuple(_signature(signature).getBeams(shape, measureStartOffset=lead))


@lru_cache(maxsize=64)
def _signature(signature: str) -> meter.TimeSignature:
    return meter.TimeSignature(signature)


def _again(beams: beam.Beams | None) -> beam.Beams | None:
    """The same beams as objects of their own, since notes take theirs for good."""
    if beams is None:
        return None
    found = beam.Beams()
    found.beamsList = [beam.Beam(b.type, b.direction, b.number) for b in beams.beamsList]
    return found


def _groups(found: Sequence[beam.Beams | None]) -> list[tuple[int, int]]:
    """The runs of notes under one beam, as (first, after the last)."""
    groups, begin = [], 0
    for position, beams in enumerate(found):
        kind = beams.beamsList[0].type if beams is not None and beams.beamsList else None
        if kind in (None, "start", "partial"):
            begin = position
        if kind == "stop":
            groups.append((begin, position + 1))
    return groups


def _within_tuplets(plain: Sequence[note.GeneralNote], first: int, last: int) -> list[tuple[int, int]]:
    """A run cut where it would leave a tuplet that it does not hold whole."""
    inside = _tuplet_of(plain)
    members = {number: [i for i, n in enumerate(inside) if n == number] for number in set(inside[first:last]) if number}
    torn = {number for number, places in members.items() if places[0] < first or places[-1] >= last}
    cuts = [i for i in range(first + 1, last) if inside[i] != inside[i - 1] and {inside[i], inside[i - 1]} & torn]
    edges = [first, *cuts, last]
    return list(pairwise(edges))


def _tuplet_of(plain: Sequence[note.GeneralNote]) -> list[int]:
    """For each element the number of the tuplet that it belongs to, 0 for none."""
    numbers, count, is_open = [], 0, False
    for element in plain:
        tuplets = element.duration.tuplets
        kind = tuplets[0].type if tuplets else None
        count += kind in ("start", "startStop")
        is_open = is_open or kind in ("start", "startStop")
        numbers.append(count if tuplets and is_open else 0)
        is_open = is_open and kind not in ("stop", "startStop")
    return numbers


def _beams_of(run: Sequence[note.GeneralNote]) -> list[beam.Beams | None]:
    """The beams of notes that stand together: whole ones where a neighbour has the same, else a stub towards one."""
    counts = [_BEAMS.get(e.duration.type, 0) if isinstance(e, note.NotRest) else 0 for e in run]
    if len(run) < 2:
        return [None] * len(run)
    found: list[beam.Beams | None] = []
    for position, count in enumerate(counts):
        before = counts[position - 1] if position else 0
        after = counts[position + 1] if position + 1 < len(counts) else 0
        beams = beam.Beams()
        for level in range(1, count + 1):
            if level <= before:
                beams.append("continue" if level <= after else "stop")
            elif level <= after:
                beams.append("start")
            elif before or after:
                beams.append("partial", "left" if before else "right")
        found.append(beams if beams.beamsList else None)
    return found


def _set(run: Sequence[note.GeneralNote], found: Sequence[beam.Beams | None]) -> None:
    for element, beams in zip(run, found, strict=True):
        if beams is not None and isinstance(element, note.NotRest):
            element.beams = beams
