"""How structural each note is within its line: a time-span reduction with doubt.

After Lerdahl & Jackendoff, A Generative Theory of Tonal Music (1983), ch. 6-7: a line is divided into spans
within spans, and each has one of its notes for a head, chosen from the heads of its halves. The rules named in
``depth_weights`` are weighed against each other, so a rule that speaks softly leaves both heads with a chance; a note's
depth is the length of the longest span it can be expected to head, log2 of quarter notes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sitegen.analysis.depth_weights import CHORD_TONE, HEAD, SPLIT
from sitegen.analysis.line_evidence import Evidence, gather_evidence
from sitegen.analysis.nouns import Harmony, LineName, NoteReading
from sitegen.score import Score

RIVALS = 5  # how many possible heads of a span are followed further up
OUTSIDE = -8.0  # depth of a note in no line; graces lie one below

_OWN = ("hypermetre", "length", "tonic", "triad", "stepwise", "slur end", "last")


@dataclass(frozen=True, slots=True)
class Span:
    """The notes ``first`` to before ``after`` of a line, divided before note ``middle`` unless there is but one."""

    first: int
    after: int
    middle: int = 0
    halves: tuple[Span, Span] | None = None


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


def divide(line: Sequence[Evidence]) -> Span:
    """The spans within spans of a line of at least one note. Steps in proportion to n log n."""
    return _divide(line, 0, len(line))


def _divide(line: Sequence[Evidence], first: int, after: int) -> Span:
    if after - first == 1:
        return Span(first, after)
    middle = first + 1
    if after - first > 2:
        features = split_features(line, first, after)
        best = -math.inf
        for place, (metre, pause, symmetry) in enumerate(features, first + 1):
            value = SPLIT["metre"] * metre + SPLIT["pause"] * pause + SPLIT["symmetry"] * symmetry
            if value > best:
                best, middle = value, place
    return Span(first, after, middle, (_divide(line, first, middle), _divide(line, middle, after)))


def split_features(line: Sequence[Evidence], first: int, after: int) -> list[tuple[float, float, float]]:
    """The features of ``SPLIT``, in its order, for a division before each note of the span but its first."""
    inside = range(first + 1, after)
    strongest = max(line[i].grid for i in inside)
    longest = max(line[i].onset - line[i - 1].onset for i in inside)
    start, end = line[first].onset, line[after - 1].end
    return [
        (
            line[i].grid - strongest,
            math.log2((line[i].onset - line[i - 1].onset) / longest),
            math.log2((line[i].onset - start) / (end - line[i].onset)) ** 2,
        )
        for i in inside
    ]


def head_features(line: Sequence[Evidence], span: Span, left: int, right: int) -> tuple[float, ...]:
    """The features of ``HEAD``, in its order, for ``left`` of the first half against ``right`` of the second."""
    one, other = line[left], line[right]
    size = _size(line, span)
    metre = one.metre - other.metre
    own = (a - b for a, b in zip(one.own, other.own, strict=True))
    return (metre, metre * size, *own, 1.0, size, float(span.after == len(line)))


def expected_depths(line: Sequence[Evidence], tree: Span) -> list[float]:
    """For each note of the line the log2 length, in quarters, of the longest span that it can be expected to head."""
    value = [sum(HEAD[name] * x for name, x in zip(_OWN, e.own, strict=True)) + CHORD_TONE * e.supported for e in line]
    depths = [0.0] * len(line)

    def length(span: Span) -> float:
        return math.log2(line[span.after - 1].end - line[span.first].onset)

    def climb(span: Span) -> dict[int, float]:
        """Adds the span's share to the depths; returns its likeliest heads with their chances."""
        own_length = length(span)
        if span.halves is None:
            depths[span.first] += own_length
            return {span.first: 1.0}
        size = _size(line, span)
        first_half = HEAD["first half"] + HEAD["first half x span"] * size
        first_half += HEAD["first half at the end"] * (span.after == len(line))
        metre = HEAD["metre"] + HEAD["metre x span"] * size
        left, right = map(climb, span.halves)
        chances = dict.fromkeys((*left, *right), 0.0)
        for i, chance_left in left.items():
            for j, chance_right in right.items():
                z = first_half + metre * (line[i].metre - line[j].metre) + value[i] - value[j]
                wins = 1 / (1 + math.exp(-max(-30.0, min(30.0, z))))
                chances[i] += chance_left * chance_right * wins
                chances[j] += chance_left * chance_right * (1 - wins)
        lengths = [own_length - length(half) for half in span.halves]
        for i, chance in chances.items():
            depths[i] += chance * lengths[i >= span.middle]
        likeliest = sorted(chances.items(), key=lambda entry: (-entry[1], entry[0]))[:RIVALS]
        total = sum(chance for _, chance in likeliest)
        return {i: chance / total for i, chance in likeliest}

    climb(tree)
    return depths


def _size(line: Sequence[Evidence], span: Span) -> float:
    return max(-1.0, min(4.0, math.log2(line[span.after - 1].end - line[span.first].onset)))
