"""Remarks on what comes back, and on where there is most to play."""

from __future__ import annotations

from collections import Counter

from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks.shown import Shown
from sitegen.reduction.remarks.wording import bar_of, over_bars, say

LEAST_NOTES = 3  # in the bars that come back together, or in a bar that is the same


def beginning(shown: Shown) -> list[Sentence]:
    """Where most of the beginning comes back note for note, two bars or more."""
    score, looks = shown.material.score, _looks(shown)
    start = int(bool(score.bars[0].lead)) if score.bars else 0
    best: tuple[int, int] | None = None
    for bar in range(start + 1, len(looks)):
        same = 0
        while bar + same < len(looks) and start + same < bar and looks[bar + same] == looks[start + same]:
            same += 1
        notes = sum(len(look) for look in looks[bar : bar + same])
        if notes >= LEAST_NOTES and (best is None or same > best[0]):
            best = (same, bar)
    # one bar, or the same one again and again, is no beginning that is known again
    if best is None or len(set(looks[start : start + best[0]])) == 1:
        return []
    same, bar = best
    first, last = score.bars[bar], score.bars[bar + same - 1]
    return [over_bars(shown.material, "beginning returns", first.onset, last.onset)]


def twins(shown: Shown) -> list[Sentence]:
    """The first two bars of three notes or more that are the same."""
    heard: dict[object, int] = {}
    for bar, look in enumerate(_looks(shown)):
        if len(look) >= LEAST_NOTES and look in heard:
            numbers = [bar_of(shown.material, shown.material.score.bars[index].onset) for index in (heard[look], bar)]
            if numbers[0] != numbers[1]:
                return [say("same bars", bar=numbers[0], to_bar=numbers[1])]
        heard.setdefault(look, bar)
    return []


def busiest(shown: Shown) -> list[Sentence]:
    """The bar with the most notes, if there is one."""
    counts = Counter(shown.bar(note) for note in shown.notes).most_common(2)
    if len(counts) < 2 or counts[0][1] == counts[1][1]:
        return []
    bar, count = counts[0]
    return [say("busiest", bar=bar_of(shown.material, shown.material.score.bars[bar].onset), count=str(count))]


def _looks(shown: Shown) -> list[tuple[tuple[int, int, int], ...]]:
    """For each bar its notes as onset in the bar, duration and pitch."""
    bars: list[list[tuple[int, int, int]]] = [[] for _ in shown.material.score.bars]
    for note in shown.notes:
        bar = shown.material.score.bar_at(note.onset)
        bars[bar.index].append((note.onset - bar.onset, note.duration, note.midi))
    return [tuple(sorted(bar)) for bar in bars]
