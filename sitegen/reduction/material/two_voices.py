"""Two voices are two keys: in a piece of one line in each hand only one hand at a time is struck as chords.

What both lines outline together is one harmony (Kirnberger, *Die Kunst des reinen Satzes*, 1771, on two parts that
stand for four); a chord in each hand would say it twice, in more keys than the piece ever has. The line that moves
more is the figure; the other keeps to a note a beat, above or below its chords.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations, groupby, pairwise

from sitegen.reduction.material.windows import Window
from sitegen.score import Note, Score
from sitegen.score.metre import beat_start, beat_ticks

TOGETHER = 0.02  # of a hand's notes: those struck while it holds or strikes another, a last chord for instance
ONE_RHYTHM = 0.75  # of all strokes: those of both hands
OFTEN = 0.25  # of the bars: those in which both hands have figures


def is_in_two_voices(score: Score, notes: Sequence[Note], windows: Mapping[int, Sequence[Window]]) -> bool:
    """Whether each of two hands plays one note at a time, hardly ever more, both often figures at once, but not in one
    rhythm: that is one broken chord in both hands. ``notes`` are in order of onset."""
    hands = {hand: [n for n in notes if score.hand_of(n.home_staff) == hand] for hand in ("right", "left")}
    together = sum(one.end > other.onset for line in hands.values() for one, other in pairwise(line))
    right, left = ({n.onset for n in line} for line in hands.values())
    if not right or not left or together > TOGETHER * len(notes) or len(right & left) > ONE_RHYTHM * len(right | left):
        return False
    figured = [{w.notes[0].bar for w in found if w.figure} for found in windows.values()]
    both = {bar for one, other in combinations(figured, 2) for bar in one & other}
    return len(both) >= OFTEN * len(score.bars)


def with_one_figure(score: Score, windows: Mapping[int, tuple[Window, ...]]) -> dict[int, tuple[Window, ...]]:
    """``windows`` of a piece in two voices, each cut into its beats: a line that outlines a chord has its bass on each.
    Of two figures at once the one of fewer notes is none."""
    lines = {staff: [note for window in found for note in window.notes] for staff, found in windows.items()}
    return {
        staff: tuple(
            part
            for window in found
            for part in _by_beats(score, window, window.figure and not _is_the_slower(window, windows, lines))
        )
        for staff, found in windows.items()
    }


def _is_the_slower(
    window: Window, windows: Mapping[int, Sequence[Window]], lines: Mapping[int, Sequence[Note]]
) -> bool:
    """Whether the other hand has a figure of more notes at the time of a figure."""
    for staff, others in windows.items():
        beside = [w for w in others if w.figure and w.onset < window.end and window.onset < w.end]
        low, high = (bisect_left(lines[staff], tick, key=lambda n: n.onset) for tick in (window.onset, window.end))
        if staff != window.staff and beside and high - low > len(window.notes):
            return True
    return False


def _by_beats(score: Score, window: Window, figure: bool) -> tuple[Window, ...]:
    beats = groupby(window.notes, key=lambda n: beat_start(score, n.onset))
    found = []
    for start, notes in beats:
        onset, end = max(window.onset, start), min(window.end, start + beat_ticks(score, start))
        found.append(replace(window, onset=onset, end=end, notes=tuple(notes), figure=figure))
    return tuple(found)
