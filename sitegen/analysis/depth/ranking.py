"""How structural each note is within its line: a time-span reduction with doubt.

After Lerdahl & Jackendoff, A Generative Theory of Tonal Music (1983), ch. 6-7: a line is divided into spans
within spans, and each has one of its notes for a head, chosen from the heads of its halves. The rules named in
``weights`` are weighed against each other, so a rule that speaks softly leaves both heads with a chance; a note's
depth is the length of the longest span it can be expected to head, log2 of quarter notes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sitegen.analysis.depth.division import LineSpan, divide, parallels, span_size
from sitegen.analysis.depth.evidence import NoteEvidence, gather_evidence
from sitegen.analysis.depth.weights import CHORD_TONE, HEAD_HALVES, HEAD_NOTE, HEAD_NOTE_BY_SPAN, HEAD_PAIR
from sitegen.analysis.nouns import Harmony, LineName, NoteReading
from sitegen.score import Score

RIVALS = 5  # how many possible heads of a span are followed further up
HOPELESS = 0.02  # of the likeliest's chance: those below are not
OUTSIDE = -8.0  # depth of a note in no line; graces lie one below


def rank_depths(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    lines: Sequence[tuple[LineName, tuple[str, ...]]],
) -> dict[str, float]:
    """The depth of every note by id, in log2 of quarter notes, for ranking within a line.

    Notes in no line lie below all others, grace notes lowest.
    """
    depths = {note.id: OUTSIDE - note.grace for note in score.notes}
    for evidence in gather_evidence(score, harmonies, readings, lines):
        depths.update(zip((e.id for e in evidence), expected_depths(evidence, divide(evidence)), strict=True))
    return depths


def head_features(
    line: Sequence[NoteEvidence], first: int, middle: int, after: int, left: int, right: int
) -> tuple[float, ...]:
    """The features of the ``HEAD`` tables, one after the other, for note ``left`` of a span's first half against note
    ``right`` of its second."""
    one, other = line[left], line[right]
    size = span_size(line, first, after)
    own = (a - b for a, b in zip(one.own, other.own, strict=True))
    by_span = (size * (a - b) for a, b in zip(one.own_by_span, other.own_by_span, strict=True))
    halves = _halves(line, first, middle, after, size, parallels(line, first, middle, after)[0])
    return (*own, *by_span, *halves, *_pair(line, middle, after, size, left, right))


def _halves(
    line: Sequence[NoteEvidence], first: int, middle: int, after: int, size: float, parallel: float
) -> tuple[float, ...]:
    start, turn, end = line[first].onset, line[middle].onset, line[after - 1].end
    longer = math.log2((turn - start) / (end - turn))
    return (1.0, size, size * (first == 0), float(after == len(line)), longer, size * parallel)


def _pair(
    line: Sequence[NoteEvidence], middle: int, after: int, size: float, left: int, right: int
) -> tuple[float, float, float]:
    step = 0 < abs(line[left].midi - line[right].midi) <= 2
    return (float(step), size * (right == middle), float(right == after - 1))


def expected_depths(line: Sequence[NoteEvidence], spans: Sequence[LineSpan]) -> list[float]:
    """For each note of the line the log2 length, in quarters, of the longest span that it can be expected to head.

    ``spans`` are those of ``divide``.
    """
    note = [sum(w * x for w, x in zip(HEAD_NOTE.values(), e.own, strict=True)) + CHORD_TONE * e.supported for e in line]
    by_span = [sum(w * x for w, x in zip(HEAD_NOTE_BY_SPAN.values(), e.own_by_span, strict=True)) for e in line]
    step, begins, ends = HEAD_PAIR.values()
    depths = [0.0] * len(line)
    lengths: dict[tuple[int, int], float] = {}
    heads: dict[tuple[int, int], list[tuple[int, float]]] = {}
    for span in reversed(spans):
        first, after = span.first, span.after
        length = lengths[first, after] = math.log2(line[after - 1].end - line[first].onset)
        if not span.cuts:
            depths[first] += span.chance * length
            heads[first, after] = [(first, 1.0)]
            continue
        size = span_size(line, first, after)
        chances: dict[int, float] = {}
        for cut in span.cuts:
            middle = cut.middle
            halves = _halves(line, first, middle, after, size, cut.parallel)
            first_half = sum(w * x for w, x in zip(HEAD_HALVES.values(), halves, strict=True))
            grows = length - lengths[first, middle], length - lengths[middle, after]
            rivals = [(i, cut.chance * c, note[i] + size * by_span[i], line[i].midi) for i, c in heads[first, middle]]
            for j, chance_right in heads[middle, after]:
                against = first_half - note[j] - size * by_span[j]
                against += begins * size * (j == middle) + ends * (j == after - 1)
                pitch, lost = line[j].midi, 0.0
                for i, chance_left, value, other in rivals:
                    both = chance_left * chance_right
                    wins = both / (1 + math.exp(-against - value - step * (0 < abs(other - pitch) <= 2)))
                    chances[i] = chances.get(i, 0.0) + wins
                    depths[i] += span.chance * wins * grows[0]
                    lost += both - wins
                chances[j] = chances.get(j, 0.0) + lost
                depths[j] += span.chance * lost * grows[1]
        likeliest = sorted(chances.items(), key=lambda entry: (-entry[1], entry[0]))[:RIVALS]
        likeliest = [entry for entry in likeliest if entry[1] >= HOPELESS * likeliest[0][1]]
        total = sum(chance for _, chance in likeliest)
        heads[first, after] = [(i, chance / total) for i, chance in likeliest]
    return depths
