"""The signs that stay, put where they stand among what is written.

What stands at notes is said of the notes; what stands at places becomes a ``direction`` before the note struck there,
or, where none is, an ``offset`` behind the one before; what ends somewhere ends behind the note that does.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``direction`` and ``notations``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from sitegen.notation.directions import beginning_of, ending_of, sign_at
from sitegen.notation.phrasing import NoteMark, Phrasing
from sitegen.notation.written import Direction, Item, SlurEnd, Written, WrittenHead
from sitegen.score import Bar, Score, Sign, Slur

Heads = Mapping[str, Sequence[tuple[Written, WrittenHead]]]
"""For the id of each note of the stage its written notes, each with the chord that it stands in."""
_Stop = tuple[int, Written]
"""A note or rest in a bar of a staff, behind its place among the items of the bar."""


def add_signs(measures: Sequence[list[Item]], score: Score, phrasing: Phrasing, heads: Heads) -> None:
    """Put the signs of a stage at its notes and into its measures."""
    for mark in phrasing.marks:
        _mark(mark, heads.get(mark.note, ()))
    _slurs(measures, [slur for slur in phrasing.slurs if slur.first in heads and slur.last in heads], heads)
    page = _Page(score, measures)
    kinds: dict[str, list[Sign]] = defaultdict(list)
    for sign in phrasing.signs:
        kinds[sign.kind].append(sign)
    for signs in kinds.values():
        numbers = _numbers([(sign.onset, sign.end) for sign in signs])
        for sign, number in zip(signs, numbers, strict=True):
            page.sign(sign, number)
    page.insert_directions()


def _mark(mark: NoteMark, written: Sequence[tuple[Written, WrittenHead]]) -> None:
    """Put an articulation at the first of tied notes, a fermata at the last, once for a chord."""
    if not written:
        return
    chord, head = written[-1] if mark.kind == "fermata" else written[0]
    if mark.kind == "fingering":
        head.fingerings += (mark.text,)
    elif mark.kind == "fermata":
        chord.fermata = True
    elif mark.text not in chord.articulations:
        chord.articulations += (mark.text,)


def _slurs(measures: Sequence[list[Item]], slurs: Sequence[Slur], heads: Heads) -> None:
    """Put the two ends of each slur at its notes."""
    if not slurs:
        return
    order = 0
    for item in (item for measure in measures for item in measure if isinstance(item, Written)):
        for head in item.heads:
            order += 1
            head.order = order
    ends = [(slur, *_ends(slur, heads)) for slur in slurs]
    numbers = _numbers([sorted((first.order, last.order)) for _, first, last in ends])
    for (slur, first, last), number in zip(ends, numbers, strict=True):
        first.slurs += (SlurEnd(number, "start", slur.placement),)
        last.slurs += (SlurEnd(number, "stop"),)


def _ends(slur: Slur, heads: Heads) -> tuple[WrittenHead, WrittenHead]:
    """The written notes that a slur joins: of tied ones those that are struck where it begins and ends."""
    first, last = heads[slur.first], heads[slur.last]
    begin = [head for chord, head in first if chord.onset <= slur.onset] or [first[0][1]]
    end = [head for chord, head in last if chord.onset <= slur.end] or [last[0][1]]
    return begin[-1], end[-1]


def _numbers(stretches: Sequence[Sequence[int]]) -> list[int]:
    """For each stretch (from, to) a number that no other has which it meets."""
    closed: dict[int, int] = {}
    found: dict[int, int] = {}
    for place, (start, end) in sorted(enumerate(stretches), key=lambda s: tuple(s[1])):
        found[place] = next(n for n in range(1, len(stretches) + 1) if closed.get(n, -1) < start)
        closed[found[place]] = end
    return [found[place] for place in range(len(stretches))]


class _Page:
    """Where everything stands: for each bar and staff its stops; ``inserted`` are the directions to come, by bar and
    place among its items."""

    def __init__(self, score: Score, measures: Sequence[list[Item]]) -> None:
        self.score = score
        self.measures = measures
        self.several = len(score.staves) > 1
        self.inserted: dict[int, list[tuple[int, Direction]]] = defaultdict(list)

    def sign(self, sign: Sign, number: int) -> None:
        """Put a sign where it stands; a stretch also where it ends."""
        staff = sign.staff if self.several else 0
        if sign.kind == "fermata":
            self._rest_fermata(sign)
        elif sign.kind == "octave":
            self._octave_sign(sign, number, staff)
        elif sign.kind in ("hairpin", "pedal"):
            self._insert(sign.staff, sign.onset, beginning_of(sign, number, staff))
            if sign.end > sign.onset:
                self._insert_behind(sign.staff, sign.end, ending_of(sign, number, staff))
        else:
            self._insert(sign.staff, sign.onset, sign_at(sign, staff))

    def insert_directions(self) -> None:
        """Put all directions in, ends before beginnings where they meet."""
        for index, directions in self.inserted.items():
            for place, direction in sorted(directions, key=lambda d: (d[0], not d[1].ends))[::-1]:
                self.measures[index].insert(place, direction)

    def _stops(self, bar: Bar, staff: int) -> list[_Stop]:
        number = staff if self.several else 0
        items = enumerate(self.measures[bar.index])
        return [(place, item) for place, item in items if isinstance(item, Written) and item.staff == number]

    def _octave_sign(self, sign: Sign, number: int, staff: int) -> None:
        """Around all that stands under it, which ``octave_order`` has put together: programs take it to hold for what
        comes between its two ends in the file."""
        under = []
        for bar in self.score.bars[self.score.bar_at(sign.onset).index :]:
            if bar.onset >= sign.end:
                break
            stops = self._stops(bar, sign.staff)
            under += [(bar, k, w) for k, w in stops if w.heads and sign.onset <= w.onset < sign.end]
        if under:
            (first_bar, before, first), (last_bar, behind, last) = under[0], under[-1]
            begin, end = beginning_of(sign, number, staff), ending_of(sign, number, staff)
            self.inserted[first_bar.index].append((before, begin.shifted(sign.onset - first.onset)))
            self.inserted[last_bar.index].append((behind + 1, end.shifted(sign.end - last.end)))

    def _rest_fermata(self, sign: Sign) -> None:
        stops = self._stops(self.score.bar_at(sign.onset), sign.staff)
        rest = next((w for _, w in stops if w.rest and w.onset <= sign.onset < w.end), None)
        if rest is not None:
            rest.fermata = True

    def _insert(self, staff: int, tick: int, direction: Direction) -> None:
        bar = self.score.bar_at(tick)
        stops = self._stops(bar, staff)
        there = next((s for s in stops if s[1].onset == tick), None)
        if there is None:
            before = [s for s in stops if s[1].onset < tick]
            there = max(before, key=lambda s: (s[1].onset, -s[0]), default=None)
        if there is not None:
            place, written = there
            self.inserted[bar.index].append((place, direction.shifted(tick - written.onset)))

    def _insert_behind(self, staff: int, tick: int, direction: Direction) -> None:
        bar = self.score.bar_at(tick - 1)
        ended = next((k for k, w in self._stops(bar, staff) if w.end == tick and not w.grace), None)
        if ended is None:
            self._insert(staff, tick, direction)
        else:
            self.inserted[bar.index].append((ended + 1, direction))
