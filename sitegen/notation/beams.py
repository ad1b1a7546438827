"""Beams by the metre, and none that runs out of a tuplet: it would draw the note behind it into the group."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sitegen.notation.metrical_beams import Beams, beams_by_metre
from sitegen.notation.values import BEAMED
from sitegen.notation.written import Written
from sitegen.score import Bar


def add_beams(timed: Sequence[Written], b: Bar, quarter: int) -> None:
    """Beam the notes of one voice of one bar, in order and without its graces; a bar longer than its metre counts on in
    its unit. ``quarter`` is how many ticks make a quarter note. The groups of tuplets must be marked."""
    if sum(1 for w in timed if w.heads and w.value.type in BEAMED) < 2:
        return
    full, unit = max(4 * quarter * b.metre.beats, (b.lead + b.length) * b.metre.beat_type), 4 * quarter
    if full % unit:
        return
    rhythm = tuple((w.length, w.value, not w.rest) for w in timed)
    found = beams_by_metre(f"{full // unit}/{b.metre.beat_type}", b.lead, rhythm, quarter)
    for first, last in _groups(found):
        for start, end in _within_tuplets(timed, first, last):
            of_run = found[start:end] if (start, end) == (first, last) else _beams_of(timed[start:end])
            for written, beams in zip(timed[start:end], of_run, strict=True):
                written.beams = beams if written.heads else ()


def _groups(found: Sequence[Beams]) -> list[tuple[int, int]]:
    """The runs of notes under one beam, as (first, after the last)."""
    groups, begin = [], 0
    for position, beams in enumerate(found):
        if not beams or beams[0] not in ("continue", "end"):
            begin = position
        elif beams[0] == "end":
            groups.append((begin, position + 1))
    return groups


def _within_tuplets(timed: Sequence[Written], first: int, last: int) -> list[tuple[int, int]]:
    """A run cut where it would leave a tuplet that it does not hold whole."""
    if all(w.value.actual == 1 for w in timed[first:last]):
        return [(first, last)]
    inside = _tuplet_of(timed)
    members = {number: [i for i, n in enumerate(inside) if n == number] for number in set(inside[first:last]) if number}
    torn = {number for number, places in members.items() if places[0] < first or places[-1] >= last}
    cuts = [i for i in range(first + 1, last) if inside[i] != inside[i - 1] and {inside[i], inside[i - 1]} & torn]
    edges = [first, *cuts, last]
    return list(pairwise(edges))


def _tuplet_of(timed: Sequence[Written]) -> list[int]:
    """For each element the number of the tuplet that it belongs to, 0 for none."""
    numbers, count, is_open = [], 0, False
    for written in timed:
        count += written.opens
        is_open = is_open or written.opens
        numbers.append(count if written.value.actual > 1 and is_open else 0)
        is_open = is_open and not written.closes
    return numbers


def _beams_of(run: Sequence[Written]) -> list[Beams]:
    """The beams of notes that stand together: whole ones where a neighbour has the same, else a stub towards one."""
    counts = [BEAMED.get(w.value.type, 0) if w.heads else 0 for w in run]
    if len(run) < 2:
        return [()] * len(run)
    found: list[Beams] = []
    for position, count in enumerate(counts):
        before = counts[position - 1] if position else 0
        after = counts[position + 1] if position + 1 < len(counts) else 0
        words: list[str] = []
        for level in range(1, count + 1):
            if level <= before:
                words.append("continue" if level <= after else "end")
            elif level <= after:
                words.append("begin")
            elif before or after:
                words.append("backward hook" if before else "forward hook")
        found.append(tuple(words))
    return found
