"""Which bars are of which texture: the piece in passages, each a phrase long or more, by what both hands do together.

A bar is named by what each staff does (``finding``), in families of like textures, and by whether both hands play one
line. Of all ways to divide the piece that one is taken in which the fewest bars differ from their passage and the
fewest passages begin, within a phrase above all: what comes and goes inside a phrase is no other texture. A phrase is
four bars long as a rule (Rothstein, Phrase Rhythm in Tonal Music, 1989, ch. 1), so that no passage is shorter. Where
the voices of a passage share a subject it is counterpoint, a fugato, also in a piece that is none.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sitegen.analysis.counterpoint import count_voices, find_counterpoint, moments
from sitegen.analysis.nouns import Analysis, Counterpoint, Passage, Texture, Together
from sitegen.analysis.texture.table import TEXTURES
from sitegen.score import Bar, Score

PHRASE = 4  # bars
CHANGE = 0.75  # what it costs to begin a passage, a bar that is not of its passage costing 1
WITHIN = 0.5  # and what it costs besides to begin it within a phrase
RESTING = 0.25  # what a hand costs that only rests; another texture in one hand costs a half
ONE_LINE = 0.75  # of the attacks of a bar: those that both hands strike together on one note's name
ATTACKS = 3  # and as many attacks or more
VOICES = 4  # a fugato has as many at most: what has more is a tune that gathers chords below it

_FAMILY = {kind.name: kind.family for kind in TEXTURES} | {"": "rest"}
_ACCOMPANIES = {"figures", "patterns", "chords", "octaves", "run"}
_CHORDS = {"chords", "octaves"}
_A_LINE_AND_CHORDS = {"repeated chords", "octave doubling"}  # while one hand repeats, the other leads

_Label = tuple[str, str]


@dataclass(frozen=True, slots=True)
class _Hands:
    """What both staves do in a bar: their textures, the families of these, and whether they play one line."""

    kinds: _Label
    label: _Label


def find_passages(score: Score, analysis: Analysis) -> tuple[Passage, ...]:
    """The passages in order of time, covering the piece without gap; none for a score without bars."""
    bars = [bar for bar in score.bars if bar.length]
    if not bars:
        return ()
    if analysis.counterpoint is not None:
        return (Passage(0, score.end, "counterpoint", counterpoint=analysis.counterpoint),)
    hands = _hands(score, analysis, bars)
    starts = {score.bar_at(phrase.onset).index for phrase in analysis.phrases}
    sung = Counter(
        (note.bar, score.hand_of(note.staff)) for note in score.notes if analysis.reading(note).line == "melody"
    )
    found: list[Passage] = []
    for first, last, label in _divided([hand.label for hand in hands], [bar.index in starts for bar in bars]):
        inside = [bar.index for bar in bars[first:last]]
        below = sum(sung[bar, "left"] for bar in inside) > sum(sung[bar, "right"] for bar in inside)
        right, left = (_most(hands[first:last], label, staff) for staff in (0, 1))
        onset = bars[first].onset
        together = _together(label, below, {right, left} == _A_LINE_AND_CHORDS)
        passage = Passage(onset, bars[last - 1].end - onset, together, right, left)
        fugato = _fugato(score, passage) if "voices" in label else None
        found.append(replace(passage, together="counterpoint", counterpoint=fugato) if fugato else passage)
    return tuple(found)


def _fugato(score: Score, passage: Passage) -> Counterpoint | None:
    """The voices and entries of a passage in which one voice begins alone, for a bar or more, and the others, three at
    most, enter with the same."""
    notes = tuple(note for note in score.notes if passage.onset <= note.onset < passage.end)
    bars = tuple(bar for bar in score.bars if passage.onset <= bar.onset < passage.end)
    sounding = [note for note in notes if note.duration]
    alone = next((tick for tick, _, held in moments(sounding) if len(held) > 1), passage.end)
    if alone - passage.onset < bars[0].length or count_voices(sounding) > VOICES:
        return None
    return find_counterpoint(replace(score, bars=bars, notes=notes))


def _hands(score: Score, analysis: Analysis, bars: Sequence[Bar]) -> list[_Hands]:
    """What the hands do in each bar. A bar without a note goes on as the one before."""
    staves = [staff.number for staff in score.staves if staff.hand is not None] or [1]
    upper, lower = (_of_staff(analysis, staff) for staff in (staves[0], staves[-1]))
    one_line = _bars_of_one_line(score, staves)
    found: list[_Hands] = []
    for bar in bars:
        # the middle of a bar speaks for it: what an upbeat or the end of a phrase does at its edges does not
        middle = bar.onset + bar.length // 2
        kinds = _kind_at(upper, middle), _kind_at(lower, middle) if len(staves) > 1 else ""
        label = _FAMILY.get(kinds[0], "line"), _FAMILY.get(kinds[1], "line")
        if label == ("rest", "rest") and found:
            found.append(found[-1])
        else:
            found.append(_Hands(kinds, ("one line", "one line") if bar.index in one_line else label))
    return found


def _of_staff(analysis: Analysis, staff: int) -> list[Texture]:
    return sorted((texture for texture in analysis.textures if texture.staff == staff), key=lambda t: t.onset)


def _kind_at(textures: Sequence[Texture], tick: int) -> str:
    place = bisect_right(textures, tick, key=lambda texture: texture.onset) - 1
    return textures[place].kind if place >= 0 and tick < textures[place].end else ""


def _bars_of_one_line(score: Score, staves: Sequence[int]) -> set[int]:
    """The bars in which both hands play the same, in octaves or in unison."""
    struck: dict[int, dict[int, dict[int, set[int]]]] = {}
    for note in score.sounding():
        if note.staff in (staves[0], staves[-1]):
            by_staff = struck.setdefault(note.bar, {}).setdefault(note.onset, {})
            by_staff.setdefault(note.staff, set()).add(note.pitch.pitch_class)
    found = set()
    for bar, onsets in struck.items():
        alike = sum(len(hands) == 2 and len(set.union(*hands.values())) == 1 for hands in onsets.values())
        if len(onsets) >= ATTACKS and alike >= ONE_LINE * len(onsets):
            found.add(bar)
    return found


def _divided(labels: Sequence[_Label], begins: Sequence[bool]) -> list[tuple[int, int, _Label]]:
    """The bars in runs (from, up to, label) of ``PHRASE`` bars or more, at the least cost; ``begins`` tells whether a
    phrase does so in the bar. The best division is built bar by bar from the best of what comes before it."""
    kinds = list(dict.fromkeys(labels))
    so_far = {kind: [0.0] for kind in kinds}
    for label in labels:
        for kind in kinds:
            so_far[kind].append(so_far[kind][-1] + _unlike(label, kind))
    best: list[tuple[float, int, _Label]] = [(0.0, 0, kinds[0])]
    opened: dict[_Label, tuple[float, int]] = {}
    for end in range(1, len(labels) + 1):
        start = end - PHRASE
        if start >= 0 and best[start][0] < float("inf"):
            cost = best[start][0] + (CHANGE + WITHIN * (not begins[start]) if start else 0.0)
            for kind in kinds:
                entry = cost - so_far[kind][start], start
                opened[kind] = min(opened.get(kind, entry), entry)
        ways = [(cost + so_far[kind][end], start, kind) for kind, (cost, start) in opened.items()]
        # of two that cost the same the one that begins first, of two of these the one that comes first in the piece
        best.append(min(ways, key=lambda way: way[:2]) if ways else (float("inf"), 0, kinds[0]))
    if len(labels) < PHRASE:
        return [(0, len(labels), min(kinds, key=lambda kind: so_far[kind][-1]))]
    found = []
    end = len(labels)
    while end:
        _, start, kind = best[end]
        found.append((start, end, kind))
        end = start
    return found[::-1]


def _unlike(bar: _Label, passage: _Label) -> float:
    cost = 0.0
    for here, there in zip(bar, passage, strict=True):
        if here != there:
            cost += RESTING if here == "rest" else 0.5
    return cost


def _most(hands: Sequence[_Hands], label: _Label, staff: int) -> str:
    """The texture of the passage's family that a staff has in most bars; of two, the one that comes first."""
    alike = [hand.kinds[staff] for hand in hands if hand.label[staff] == label[staff]]
    return Counter(alike or [hand.kinds[staff] for hand in hands]).most_common(1)[0][0]


def _together(label: _Label, below: bool, led: bool) -> Together:
    """How the hands of a passage stand to each other; ``below`` where the left has most of the melody, ``led`` where
    one hand has a line in octaves and the other repeats its chord."""
    right, left = label
    if right == "one line":
        return "one line"
    if left == "rest":
        return "right alone"
    if right == "rest":
        return "left alone"
    if (right == left and right != "line") or (right in _CHORDS and left in _CHORDS and not led):
        return "alike"
    if below and right in _ACCOMPANIES and left in ("line", "voices", "octaves"):
        return "under"
    return "over"
