"""The runs of an accompanying hand: short notes through a whole passage that come back to no one figure.

Such a hand has steps and leaps, goes further than it reaches, and what repeats in it for a beat or two is chance. Its
windows are not those of a figure but of the harmony: a run of a harmony is one window, from beat to beat.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby, pairwise

from sitegen.analysis import Analysis, Harmony, harmonies_between
from sitegen.reduction.material.windows import OCTAVE, Window, attacks_of, shape_of
from sitegen.score import Bar, Note, Score
from sitegen.score.metre import beat_start, beat_ticks

STROKES = 3  # in a beat: fewer are no run
BEATS = 3 / 4  # the share of the beats of a bar that run
PASSAGE = 4  # bars: a phrase
FIGURED = 1 / 2  # of the time of a passage in figures that go on at once: from there on it is no run
SINGLE = 4 / 5  # of the strokes of a passage that are of one note
STEPS = 1 / 3  # of its moves that are steps: fewer belong to a broken chord
STEP = 2  # semitones
TENTH = 16  # semitones


def with_runs(score: Score, analysis: Analysis, windows: Sequence[Window]) -> tuple[Window, ...]:
    """``windows``, those of one staff in order, with those of a run in place of what they cover. Voices of
    counterpoint are no accompaniment."""
    if analysis.counterpoint is not None or not windows or score.hand_of(windows[0].staff) != "left":
        return tuple(windows)
    bars = {index: list(group) for index, group in groupby(windows, key=lambda w: w.notes[0].bar)}
    running = [index for index in bars if _runs(score, score.bars[index], bars[index])]
    found: list[Window] = []
    in_runs: set[int] = set()
    for passage in _passages(running):
        if len(passage) >= PASSAGE and _is_a_run([window for index in passage for window in bars[index]]):
            in_runs.update(passage)
    for index, own in bars.items():
        found += _of_the_harmonies(score, analysis, own) if index in in_runs else own
    return tuple(found)


def _passages(bars: Sequence[int]) -> list[list[int]]:
    """Numbers of bars in order, those that follow each other together."""
    return [[bar for _, bar in group] for _, group in groupby(enumerate(bars), key=lambda b: b[1] - b[0])]


def _runs(score: Score, bar: Bar, windows: Sequence[Window]) -> bool:
    """Whether a hand strikes enough in most beats of a bar to run."""
    beat = beat_ticks(score, bar.onset)
    onsets = {note.onset for window in windows for note in window.notes}
    strokes: dict[int, int] = {}
    for onset in onsets:
        start = beat_start(score, onset)
        strokes[start] = strokes.get(start, 0) + 1
    return sum(count >= STROKES for count in strokes.values()) * beat >= BEATS * bar.length


def _is_a_run(windows: Sequence[Window]) -> bool:
    """Whether what a hand strikes through a passage is one line with steps in it, and mostly no figure."""
    length = sum(window.end - window.onset for window in windows)
    figured = sum(window.end - window.onset for window in _repeated(windows))
    attacks = attacks_of([note for window in windows for note in window.notes])
    moves = [abs(max(n.midi for n in one) - max(n.midi for n in other)) for one, other in pairwise(attacks)]
    return (
        figured < FIGURED * length
        and sum(len(chord) == 1 for chord in attacks) >= SINGLE * len(attacks)
        and sum(0 < move <= STEP for move in moves) >= STEPS * len(moves)
    )


def _repeated(windows: Sequence[Window]) -> list[Window]:
    """Of windows in order those of a figure that runs in the one before or after too."""
    shapes = [shape_of(window.notes, window.onset) if window.figure else None for window in windows]
    beside = zip(windows, shapes, [None, *shapes], [*shapes[1:], None], strict=False)
    return [window for window, shape, before, after in beside if shape is not None and shape in (before, after)]


def _of_the_harmonies(score: Score, analysis: Analysis, windows: Sequence[Window]) -> Iterator[Window]:
    """The windows of a run in one bar: a new one on each beat that has another harmony or another bass of it, or on
    which the hand leaves its place."""
    notes = [note for window in windows for note in window.notes]
    beat = beat_ticks(score, notes[0].onset)
    groups: list[tuple[int, list[Note]]] = []
    before: Harmony | None = None
    for start, beats in groupby(notes, key=lambda n: beat_start(score, n.onset)):
        struck = list(beats)
        harmony = harmony_of_a_beat(analysis, start, start + beat)
        same = harmony is before or (harmony and before and _chord(harmony) == _chord(before))
        if groups and same and not _leaves_its_place(groups[-1][1], struck, chord_tones(harmony, groups[-1][1])):
            groups[-1][1].extend(struck)
        else:
            groups.append((start, struck))
        before = harmony
    ends = [*(start for start, _ in groups[1:]), windows[-1].end]
    for (start, struck), end in zip(groups, ends, strict=True):
        onset = max(start, windows[0].onset)
        yield replace(windows[0], onset=onset, end=end, notes=tuple(struck), figure=len(struck) > 1, run=True)


def _leaves_its_place(before: Sequence[Note], struck: Sequence[Note], tones: Sequence[Note]) -> bool:
    """Whether a hand has gone away from where it was: an octave or more below all chord ``tones`` that it has had, or
    from a bass alone to where it reaches it no more."""
    if tones and min(note.midi for note in tones) - struck[0].midi >= OCTAVE:
        return True
    first, *others = attacks_of(before)
    alone = len({note.pitch.pitch_class for note in first}) == 1
    low = min(note.midi for note in first)
    return alone and bool(others) and all(note.midi - low > TENTH for chord in others for note in chord)


def _chord(harmony: Harmony) -> tuple[frozenset[int], int | None]:
    return harmony.pitch_classes, harmony.bass


def chord_tones(harmony: Harmony | None, notes: Sequence[Note]) -> list[Note]:
    """Of ``notes`` those that belong to a harmony."""
    return [note for note in notes if harmony is not None and note.pitch.pitch_class in harmony.pitch_classes]


def harmony_of_a_beat(analysis: Analysis, start: int, end: int) -> Harmony | None:
    """The harmony that has most of a beat, of two that have as much the first."""
    here = harmonies_between(analysis.harmonies, start, end)
    return max(here, key=lambda h: min(h.end, end) - max(h.onset, start), default=None)
