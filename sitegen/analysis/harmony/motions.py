"""How each note is approached and left within its voice."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from sitegen.score import Note

MOTIONS = ("step", "same", "leap")
KINDS = tuple(f"{approach}-{leaving}" for approach in MOTIONS for leaving in MOTIONS)
APART = 99
"""Stands for the interval across a rest, or from or to nothing."""


def motions_of(notes: list[Note], quarter: int) -> tuple[list[int], list[int]]:
    """Semitones from the note before, and to the note after, in the same voice (up is positive).

    Of a chord the nearest note counts. What lies across a rest of more than an eighth is ``APART``.
    """
    voices: dict[int, list[tuple[int, list[int]]]] = defaultdict(list)
    for index, note in enumerate(notes):
        events = voices[note.voice]
        if events and events[-1][0] == note.onset:
            events[-1][1].append(index)
        else:
            events.append((note.onset, [index]))
    before, after = [APART] * len(notes), [APART] * len(notes)
    gap = quarter // 2
    for events in voices.values():
        for (_, earlier), (onset, later) in pairwise(events):
            near = [i for i in earlier if notes[i].end >= onset - gap]
            for i in near:
                after[i] = min((notes[j].midi - notes[i].midi for j in later), key=_size)
            if near:
                for j in later:
                    before[j] = min((notes[j].midi - notes[i].midi for i in near), key=_size)
    return before, after


def _size(semitones: int) -> tuple[int, int]:
    return abs(semitones), semitones


def kind_of(before: int, after: int) -> int:
    """The index into ``KINDS``."""
    return len(MOTIONS) * _motion(before) + _motion(after)


def _motion(semitones: int) -> int:
    return 1 if semitones == 0 else 0 if abs(semitones) <= 2 else 2


def lowest_at_onset(notes: list[Note]) -> list[bool]:
    """Whether no lower note sounds at the onset of each note; ``notes`` are in order of onset."""
    out: list[bool] = []
    held: list[Note] = []
    position = 0
    while position < len(notes):
        onset = notes[position].onset
        stop = position
        while stop < len(notes) and notes[stop].onset == onset:
            stop += 1
        held = [n for n in held if n.end > onset] + notes[position:stop]
        low = min(n.midi for n in held)
        out += [n.midi == low for n in notes[position:stop]]
        position = stop
    return out
