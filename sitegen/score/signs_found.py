"""Signs as they are found in a file, in quarters from bar lines, and from these to the nouns of a ``Score``.

What is struck together is played alike: an articulation or a fermata at one note of a chord holds for all of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from sitegen.score.nouns import Bar, Note
from sitegen.score.sign_nouns import Placement, Sign, SignKind, Slur

SignPlace = tuple[int, Fraction]
"""A bar's index and quarters from its bar line."""


@dataclass(frozen=True, slots=True)
class SignFound:
    """A sign of a staff: ``start`` and ``end`` are places or the id of the note or chord that it names.

    ``whole`` says that it holds to the end of the notes that stand at its end.
    """

    kind: SignKind
    staff: int
    start: SignPlace | str
    end: SignPlace | str
    text: str = ""
    placement: Placement = ""
    whole: bool = False


@dataclass(frozen=True, slots=True)
class SlurFound:
    """A slur by the ids of the noteheads or chords that it names."""

    first: str
    last: str
    placement: Placement = ""


@dataclass(slots=True)
class SignsFound:
    """Everything of a score; ``articulations`` and ``fingerings`` by the id of the notehead or chord."""

    signs: list[SignFound] = field(default_factory=list)
    slurs: list[SlurFound] = field(default_factory=list)
    articulations: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    fingerings: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))


def mark_notes(notes: Sequence[Note], found: SignsFound) -> tuple[Note, ...]:
    """The notes with their articulations and fingerings."""
    of_chord: dict[str, list[str]] = defaultdict(list)
    fermatas = {n.chord for n in notes if n.chord and n.fermata}
    for n in notes:
        if n.chord:
            of_chord[n.chord] += [*_at(n, found.articulations), *found.articulations.get(n.chord, ())]
    return tuple(
        replace(
            n,
            articulations=tuple(dict.fromkeys(of_chord[n.chord] if n.chord else _at(n, found.articulations))),
            fingerings=tuple(_at(n, found.fingerings)),
            fermata=n.fermata or n.chord in fermatas,
        )
        for n in notes
    )


def _at(note: Note, marks: Mapping[str, list[str]]) -> Iterable[str]:
    return [mark for head in note.noteheads for mark in marks.get(head.id, ())]


def place_slurs(found: SignsFound, notes: Sequence[Note]) -> tuple[Slur, ...]:
    """The slurs whose two ends are notes of the score, the second after the first, in order of their beginning."""
    heads = _heads(notes)
    slurs: list[tuple[tuple[int, int], Slur]] = []
    order = {n.id: k for k, n in enumerate(notes)}
    for slur in found.slurs:
        first, last = (_outer(heads.get(name, []), slur.placement) for name in (slur.first, slur.last))
        if first is None or last is None or first[0].id == last[0].id:
            continue
        if (first[1], order[first[0].id]) > (last[1], order[last[0].id]):
            continue
        placed = Slur(first[0].id, last[0].id, first[1], last[1], slur.placement)
        slurs.append(((first[1], order[placed.first]), placed))
    return tuple(dict.fromkeys(slur for _, slur in sorted(slurs, key=lambda s: s[0])))


HeadPlace = tuple[Note, int]


def _heads(notes: Sequence[Note]) -> dict[str, list[HeadPlace]]:
    """By the id of each notehead and chord: its notes, from low to high, and the tick at which that head is struck."""
    heads: dict[str, list[HeadPlace]] = defaultdict(list)
    for n in notes:
        for head in n.noteheads:
            heads[head.id].append((n, head.onset))
        if n.chord:
            heads[n.chord].append((n, n.onset))
    return heads


def _outer(heads: Sequence[HeadPlace], placement: Placement) -> HeadPlace | None:
    """The note of a chord that its slur meets: on the slur's side, else on that of the voice's stems."""
    if not heads:
        return None
    upper = placement == "above" or (not placement and heads[0][0].voice % 4 == 1)
    return heads[-1] if upper else heads[0]


def place_signs(
    found: SignsFound, bars: Sequence[Bar], notes: Sequence[Note], ticks_per_quarter: int
) -> tuple[Sign, ...]:
    """The signs that stand within the score, in order; one whose end comes before its start is left out."""
    heads = _heads(notes)

    def tick(place: SignPlace | str, last: bool) -> int | None:
        if isinstance(place, str):
            there = heads.get(place)
            return None if not there else there[0][0].end if last else there[0][1]
        bar, at = place
        if bar >= len(bars):
            return bars[-1].end
        return max(0, min(bars[-1].end, bars[bar].onset + round(at * ticks_per_quarter)))

    signs = []
    for sign in found.signs:
        start, end = tick(sign.start, False), tick(sign.end, sign.whole)
        if start is None or end is None:
            continue
        if sign.whole:
            struck = tick(sign.end, False) or 0
            held = [n.end for n in notes if n.staff == sign.staff and start <= n.onset <= struck and not n.grace]
            end = max([end, *held])
        if end > start or (end == start and sign.kind not in ("hairpin", "octave")):
            signs.append(Sign(sign.kind, sign.staff, start, end, sign.text, sign.placement))
    return tuple(dict.fromkeys(sorted(signs, key=lambda s: (s.onset, s.staff))))
