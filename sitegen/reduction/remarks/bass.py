"""Remarks on the bass of a stage."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise

from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks.lines import joined, step_runs, widest_leap
from sitegen.reduction.remarks.shown import Shown, moving
from sitegen.reduction.remarks.wording import bar_of, name, outside, over_bars, runs, say

LEAST_SEMITONES, LEAST_BARS, LEAST_MOVES = 3, 3, 3


def steps(shown: Shown) -> list[Sentence]:
    """Lines of four notes or more that the bass walks by step, the longest first."""
    return step_runs(shown, shown.bass, "bass")


def semitones(shown: Shown) -> list[Sentence]:
    """Lines of four notes or more that the bass goes by semitones."""
    line = moving(shown.bass)
    moves = [m if abs(m := b.midi - a.midi) == 1 and joined(shown, a, b) else 0 for a, b in pairwise(line)]
    found = []
    for start, end, move in runs(moves, LEAST_SEMITONES):
        first, last = line[start], line[end]
        message = "bass climbs by semitones" if move > 0 else "bass sinks by semitones"
        if shown.bar(first) != shown.bar(last):
            fields = {"first": name(first.pitch), "last": name(last.pitch)}
            found.append(over_bars(shown.material, message, first.onset, last.onset, **fields))
    return found


def pedal(shown: Shown) -> list[Sentence]:
    """The longest stretch of three bars or more over one bass note."""
    stretches = []
    for _, notes in groupby(shown.bass, key=lambda n: n.midi):
        same = list(notes)
        bars = shown.material.score.bar_at(same[-1].end - 1).index - shown.bar(same[0]) + 1
        joined = all(a.end == b.onset for a, b in pairwise(same))
        if bars >= LEAST_BARS and joined:
            stretches.append((-bars, same[0].onset, same[-1].end - 1, name(same[0].pitch)))
    return [
        over_bars(shown.material, "bass stays", start, end, note=note) for _, start, end, note in sorted(stretches)[:1]
    ]


def outsider(shown: Shown) -> list[Sentence]:
    """The first note of the bass that the key signature does not have, if it leads on by a semitone."""
    line = moving(shown.bass)
    bars = shown.material.score.bars
    place = next((i for i, note in enumerate(line) if outside(note.pitch, bars[shown.bar(note)])), None)
    if place is None or place + 1 >= len(line):
        return []
    note, goal = line[place], line[place + 1]
    if abs(goal.midi - note.midi) != 1 or goal.pitch.step == note.pitch.step:
        return []
    return [
        say(
            "bass outside",
            note=name(note.pitch, signed=True),
            goal=name(goal.pitch),
            bar=bar_of(shown.material, note.onset),
        )
    ]


def leap(shown: Shown) -> list[Sentence]:
    """The widest leap of the bass, of a fifth or more, if there is one widest."""
    return widest_leap(shown, moving(shown.bass), "bass leaps")


def homecoming(shown: Shown) -> list[Sentence]:
    """The last move of the bass, if it goes from the fifth of the key to its first note."""
    line = moving(shown.bass)
    if len(line) < 2:
        return []
    before, last = line[-2:]
    key = shown.material.harmony(last.onset).key
    home = key is not None and key.partition(" ")[0] == last.pitch.name.rstrip("-0123456789")
    fifth = (before.midi - last.midi) % 12 == 7 and (before.pitch.diatonic - last.pitch.diatonic) % 7 == 4
    if not home or not fifth:
        return []
    fields = {"bar": bar_of(shown.material, last.onset), "first": name(before.pitch), "last": name(last.pitch)}
    return [say("bass home", **fields)]


def quickening(shown: Shown) -> list[Sentence]:
    """The bar in which the bass strikes more notes than in any other, three or more."""
    counts = Counter(shown.bar(note) for note in shown.bass).most_common(2)
    if not counts or counts[0][1] < LEAST_MOVES or (len(counts) > 1 and counts[0][1] == counts[1][1]):
        return []
    bar, count = counts[0]
    return [say("bass quickens", bar=bar_of(shown.material, shown.material.score.bars[bar].onset), count=str(count))]
