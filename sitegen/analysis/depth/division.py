"""Where a line divides into spans within spans, with the doubt there is about it.

After Lerdahl & Jackendoff, A Generative Theory of Tonal Music (1983), ch. 3 and 7. Every place of a span has a chance
to divide it, a conditional logit of the rules in ``weights``; places too unlikely to matter are let go.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis.depth.evidence import NoteEvidence
from sitegen.analysis.depth.weights import SPLIT_NOTE, SPLIT_NOTE_BY_SPAN, SPLIT_PLACE

UNLIKELY = 0.15  # a division is followed if its chance, in all that can become of the line, is no smaller
PLACES = 8  # of so many places of a span, the likeliest otherwise, it is asked whether the halves are parallel
COMPARED = 8  # how many notes of each half are compared


@dataclass(frozen=True, slots=True)
class Cut:
    """A division before note ``middle``, its chance in its span, and how parallel in rhythm the halves are, 0 to 1."""

    middle: int
    chance: float
    parallel: float


@dataclass(frozen=True, slots=True)
class LineSpan:
    """The notes ``first`` to before ``after`` of a line, which are a span with ``chance``. One note has no cuts."""

    first: int
    after: int
    chance: float
    cuts: tuple[Cut, ...]


def divide(line: Sequence[NoteEvidence]) -> list[LineSpan]:
    """The spans that a line of at least one note may have, longer ones first. Steps in proportion to n log n."""
    note = [sum(w * x for w, x in zip(SPLIT_NOTE.values(), e.opening, strict=True)) for e in line]
    by_span = [sum(w * x for w, x in zip(SPLIT_NOTE_BY_SPAN.values(), e.opening_by_span, strict=True)) for e in line]
    heard = [(e.tick, e.midi) for e in line]
    onsets, grids = [e.onset for e in line], [e.grid for e in line]
    beginnings = [_from_the_first(heard[i : i + COMPARED]) for i in range(len(line))]
    places = _Places(line, onsets, grids, note, by_span, beginnings)
    chances = {(0, len(line)): 1.0}
    waiting = [(-len(line), 0)]
    found: list[LineSpan] = []
    while waiting:
        negative, first = heapq.heappop(waiting)
        after = first - negative
        chance = chances[first, after]
        cuts = _cuts(places, first, after, chance) if after - first > 1 else ()
        found.append(LineSpan(first, after, chance, cuts))
        for cut in cuts:
            for half in ((first, cut.middle), (cut.middle, after)):
                if half not in chances:
                    chances[half] = 0.0
                    heapq.heappush(waiting, (half[0] - half[1], half[0]))
                chances[half] += chance * cut.chance
    return found


@dataclass(frozen=True, slots=True)
class _Places:
    """The notes of a line with what is the same in all spans: by note its onset, its place in the metre, what speaks
    for a division before it, by the size of the span too, and the notes that begin there, from the first of them."""

    line: Sequence[NoteEvidence]
    onsets: Sequence[float]
    grids: Sequence[int]
    note: Sequence[float]
    by_span: Sequence[float]
    beginnings: Sequence[Sequence[tuple[int, int]]]


def _cuts(places: _Places, first: int, after: int, chance: float) -> tuple[Cut, ...]:
    if after - first == 2:
        return (Cut(first + 1, 1.0, 1.0),)
    line, beginnings = places.line, places.beginnings
    size = span_size(line, first, after)
    strongest, symmetry, rhythm, tune = SPLIT_PLACE.values()
    start, end = line[first].onset, line[after - 1].end
    inside = slice(first + 1, after)
    grid = max(places.grids[inside])
    values = [
        (
            note + size * by_span + strongest * (level == grid) + symmetry * _asymmetry(start, onset, end),
            -i,
        )
        for i, note, by_span, level, onset in zip(
            range(first + 1, after),
            places.note[inside],
            places.by_span[inside],
            places.grids[inside],
            places.onsets[inside],
            strict=True,
        )
    ]
    if len(values) > PLACES:
        values = heapq.nlargest(PLACES, values)
    likeness = {-i: _likeness(beginnings[first][: -i - first], beginnings[-i][: after + i]) for _, i in values}
    full = {-i: v + rhythm * size * likeness[-i][0] + tune * likeness[-i][1] for v, i in values}
    best = max(full.values())
    weights = {i: math.exp(v - best) for i, v in full.items()}
    total = sum(weights.values())
    kept = {i: w for i, w in weights.items() if chance * w >= UNLIKELY * total}
    if not kept:
        kept = {min(i for i, v in full.items() if v == best): 1.0}
    total = sum(kept.values())
    return tuple(Cut(i, w / total, likeness[i][0]) for i, w in sorted(kept.items()))


def split_features(line: Sequence[NoteEvidence], first: int, after: int) -> list[tuple[float, ...]]:
    """The features of the ``SPLIT`` tables, one after the other, for each place of the span but its beginning."""
    size = span_size(line, first, after)
    start, end = line[first].onset, line[after - 1].end
    grid = max(line[i].grid for i in range(first + 1, after))
    rows = []
    for i in range(first + 1, after):
        rhythm, tune = parallels(line, first, i, after)
        place = (float(line[i].grid == grid), _asymmetry(start, line[i].onset, end), rhythm * size, tune)
        rows.append((*line[i].opening, *(size * x for x in line[i].opening_by_span), *place))
    return rows


def span_size(line: Sequence[NoteEvidence], first: int, after: int) -> float:
    """The log2 of a span's length in quarters, from -1 to 4."""
    return max(-1.0, min(4.0, math.log2(line[after - 1].end - line[first].onset)))


def _asymmetry(start: float, middle: float, end: float) -> float:
    return math.log2((middle - start) / (end - middle)) ** 2


def parallels(line: Sequence[NoteEvidence], first: int, middle: int, after: int) -> tuple[float, float]:
    """How like the beginnings of the halves are: the share of onsets that both have, and of onsets with one interval.

    Onsets and intervals are counted from the half's first note, which is left out of the second share.
    """
    heard = [(e.tick, e.midi) for e in line[first:after]]
    turn = middle - first
    one, other = heard[:turn][:COMPARED], heard[turn:][:COMPARED]
    return _likeness(_from_the_first(one), _from_the_first(other))


def _likeness(one: Sequence[tuple[int, int]], other: Sequence[tuple[int, int]]) -> tuple[float, float]:
    intervals = dict(one)
    met = [intervals[at] == interval for at, interval in other if at in intervals]
    same = sum(met) - 1
    notes = len(one) + len(other)
    return len(met) / (notes - len(met)), same / max(1, notes - 2 - same)


def _from_the_first(heard: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Onsets and pitches as distances from those of the first note."""
    start, pitch = heard[0]
    return [(onset - start, midi - pitch) for onset, midi in heard]
