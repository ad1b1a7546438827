"""Remarks on a line, and on two lines together."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.reduction.remarks.shown import Shown, moving
from sitegen.reduction.remarks.wording import bar_of, interval, name, only, over_bars, runs, say, way
from sitegen.score.metre import beat_ticks

LEAST_STEPS, LEAST_LEAP, LEAST_MOVES, SEVENTH, OCTAVE = 3, 7, 3, 6, 7
PARALLELS = {2: "thirds", 5: "sixths", 9: "tenths"}
"""By steps of the staff."""

Pair = tuple[StageNote, StageNote]


def step_runs(shown: Shown, notes: Sequence[StageNote], who: str) -> list[Sentence]:
    """Stretches of four notes or more that go by step one way, the longest first: ``<who> rises``, ``<who> falls``.
    Of a seventh the names alone would say the opposite: up by step from G to F is heard as a step down."""
    line = moving(notes)
    moves = [b.pitch.diatonic - a.pitch.diatonic if joined(shown, a, b) else 0 for a, b in pairwise(line)]
    found = []
    for start, end, move in runs([m if abs(m) == 1 else 0 for m in moves], LEAST_STEPS):
        first, last = line[start], line[end]
        message = f"{who} rises" if move > 0 else f"{who} falls"
        if end - start == OCTAVE:
            if shown.bar(first) != shown.bar(last):
                octave = f"{message} an octave"
                found.append(over_bars(shown.material, octave, first.onset, last.onset, note=name(first.pitch)))
        elif end - start < SEVENTH:
            fields = {"first": name(first.pitch), "last": name(last.pitch)}
            found.append(over_bars(shown.material, message, first.onset, last.onset, **fields))
    return found


def joined(shown: Shown, before: StageNote, after: StageNote) -> bool:
    """Whether no more than a beat of rest lies between two notes of a line."""
    return after.onset - before.end <= beat_ticks(shown.material.score, before.onset)


def melody_steps(shown: Shown) -> list[Sentence]:
    """Where the melody goes by step."""
    return step_runs(shown, shown.melody, "melody")


def voice_steps(shown: Shown) -> list[Sentence]:
    """Where a voice that has the stage to itself goes by step."""
    return step_runs(shown, shown.notes, "voice")


def voice_leap(shown: Shown) -> list[Sentence]:
    """The widest leap of a voice that has the stage to itself, as in ``leap``."""
    return widest_leap(shown, moving(shown.notes), "voice leaps")


def inner_steps(shown: Shown) -> list[Sentence]:
    """Where the inner line goes by step."""
    return step_runs(shown, inner_notes(shown), "inner line")


def highest(shown: Shown) -> list[Sentence]:
    """The highest note of the melody, if it comes once."""
    top = only((note.midi, note) for note in moving(shown.melody))
    return [say("highest", note=name(top.pitch), bar=bar_of(shown.material, top.onset))] if top else []


def leap(shown: Shown) -> list[Sentence]:
    """The widest leap of the melody, of a fifth or more, if there is one widest."""
    return widest_leap(shown, moving(shown.melody), "melody leaps")


def widest_leap(shown: Shown, line: Sequence[StageNote], message: str) -> list[Sentence]:
    """The widest leap of a line, of a fifth or more, if there is one widest, said with ``message``."""
    widest = only((abs(b.midi - a.midi), b) for a, b in pairwise(line))
    if widest is None:
        return []
    before = line[line.index(widest) - 1]
    wide = interval(before.pitch, widest.pitch)
    if not wide or abs(widest.midi - before.midi) < LEAST_LEAP:
        return []
    bar = bar_of(shown.material, widest.onset)
    return [say(message, note=name(widest.pitch), bar=bar, interval=wide, direction=way(before, widest))]


def inner_notes(shown: Shown) -> list[StageNote]:
    """The notes of the stage that are not the melody's, if they are one line."""
    line = [n for n in shown.notes if shown.material.roles.get(n.sources[0]) != "melody"]
    return line if all(a.end <= b.onset for a, b in pairwise(line)) else []


def outer_contrary(shown: Shown) -> list[Sentence]:
    """Where melody and bass move against each other."""
    return _contrary(shown, shown.bass, "melody and bass")


def inner_contrary(shown: Shown) -> list[Sentence]:
    """Where the inner line moves against the melody."""
    return _contrary(shown, inner_notes(shown), "melody and inner line")


def outer_parallels(shown: Shown) -> list[Sentence]:
    """Where melody and bass move side by side."""
    return _parallels(shown, shown.bass, "parallel bass")


def inner_parallels(shown: Shown) -> list[Sentence]:
    """Where the inner line moves along with the melody."""
    return _parallels(shown, inner_notes(shown), "parallel inner line")


def inner_moves(shown: Shown) -> list[Sentence]:
    """Where the inner line goes to two other notes or more while the melody holds one."""
    inner = inner_notes(shown)
    found = []
    for note in shown.melody:
        count = len([n for n in inner if note.onset < n.onset < note.end])
        if count > 1:
            bar = bar_of(shown.material, note.onset)
            found.append((-count, note.onset, say("inner line moves", note=name(note.pitch), bar=bar)))
    return [sentence for _, _, sentence in sorted(found, key=lambda f: f[:2])]


def furthest(shown: Shown) -> list[Sentence]:
    """Where melody and bass are furthest apart, if in one place."""
    pairs = _pairs(shown.melody, shown.bass)
    top = only((top.midi - low.midi, top) for top, low in pairs)
    low = next((low for high, low in pairs if high is top), None)
    if top is None or low is None:
        return []
    fields = {"first": name(low.pitch), "last": name(top.pitch), "bar": bar_of(shown.material, top.onset)}
    return [say("furthest apart", **fields)]


def closest(shown: Shown) -> list[Sentence]:
    """Where melody and bass come closest, if in one place and not further than a twelfth."""
    pairs = _pairs(shown.melody, shown.bass)
    top = only((low.midi - top.midi, top) for top, low in pairs)
    low = next((low for high, low in pairs if high is top), None)
    if top is None or low is None or not (close := interval(top.pitch, low.pitch)):
        return []
    return [say("closest", interval=close, bar=bar_of(shown.material, top.onset))]


def _pairs(upper: Sequence[StageNote], lower: Sequence[StageNote]) -> list[Pair]:
    """The two lines wherever the upper one strikes while the lower one sounds."""
    onsets = [note.onset for note in lower]
    found = []
    for note in upper:
        place = bisect_right(onsets, note.onset) - 1
        if place >= 0 and lower[place].end > note.onset and lower[place].midi < note.midi:
            found.append((note, lower[place]))
    return found


def _contrary(shown: Shown, lower: Sequence[StageNote], who: str) -> list[Sentence]:
    """Stretches of three moves or more in which both lines move, opposite ways, the longest first."""
    pairs = _pairs(shown.melody, lower)
    moves = []
    for (top, low), (next_top, next_low) in pairwise(pairs):
        up, down = next_top.midi - top.midi, next_low.midi - low.midi
        moves.append(((up > 0) - (up < 0)) * (up * down < 0))
    found = []
    for start, end, move in runs(moves, LEAST_MOVES):
        if _together(pairs[start : end + 1], shown.melody, lower):
            message = f"{who} part" if move > 0 else f"{who} close in"
            found.append(over_bars(shown.material, message, pairs[start][0].onset, pairs[end][0].onset))
    return found


def _parallels(shown: Shown, lower: Sequence[StageNote], message: str) -> list[Sentence]:
    """Stretches of three moves or more in which both lines move the same way at the same interval, the longest
    first."""
    pairs = _pairs(shown.melody, lower)
    moves = []
    for (top, low), (next_top, next_low) in pairwise(pairs):
        apart, then = top.pitch.diatonic - low.pitch.diatonic, next_top.pitch.diatonic - next_low.pitch.diatonic
        moves.append(
            apart if apart == then and apart in PARALLELS and top.pitch.diatonic != next_top.pitch.diatonic else 0
        )
    return [
        over_bars(shown.material, message, pairs[start][0].onset, pairs[end][0].onset, intervals=PARALLELS[apart])
        for start, end, apart in runs(moves, LEAST_MOVES)
        if _together(pairs[start : end + 1], shown.melody, lower)
    ]


def _together(pairs: Sequence[Pair], upper: Sequence[StageNote], lower: Sequence[StageNote]) -> bool:
    """Whether no note of either line comes between those of ``pairs``."""
    start, end = pairs[0][0].onset, pairs[-1][0].onset
    lows = {low.id for _, low in pairs}
    between = [note for note in lower if start <= note.onset <= end]
    return len([note for note in upper if start <= note.onset <= end]) == len(pairs) and lows >= {n.id for n in between}
