"""The outer voices where a piece has fewer parts for a while.

While an outer voice rests, the one next to it is the outermost; if for a phrase or more it also lies where the outer
voice lies in the rest of the piece, rather than where it lies itself, it is that voice: an alto that sings alone above
the bass in the soprano's register is the soprano.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sitegen.score import Note

PHRASE = 4  # bars


def go_on_outside(notes: Sequence[Note], voices: Sequence[int | None], count: int, bar: int) -> list[int | None]:
    """The voice of each note, 0 the highest, with the outer voices in the places of those that stand for them.

    ``notes`` are in order of onset; ``bar`` is a length in ticks.
    """
    found = list(voices)
    if not notes:
        return found
    end = max(note.end for note in notes)
    for outer, inward in ((0, 1), (count - 1, -1)):
        others = [k for k in range(count) if k != outer]
        others.sort(key=lambda k: inward * k)
        for start, stop in _rests(notes, found, outer, end):
            if stop - start < PHRASE * bar:
                continue
            inside = [k for k, note in enumerate(notes) if start <= note.onset and note.end <= stop]
            sounding = {found[k] for k in inside}
            nearest = next((voice for voice in others if voice in sounding), None)
            if nearest is None:
                continue
            taken = [k for k in inside if found[k] == nearest]
            own = _register(
                [n for n, v in zip(notes, found, strict=True) if v == nearest and not start <= n.onset < stop]
            )
            outermost = _register([n for n, v in zip(notes, found, strict=True) if v == outer])
            here = _register([notes[k] for k in taken])
            if outermost is None or here is None or (own is not None and abs(here - outermost) >= abs(here - own)):
                continue
            for k in taken:
                found[k] = outer
    return found


def _rests(notes: Sequence[Note], voices: Sequence[int | None], voice: int, end: int) -> list[tuple[int, int]]:
    """The stretches in which a voice does not sound, in ticks."""
    mine = [note for note, number in zip(notes, voices, strict=True) if number == voice]
    edges = [(0, 0), *((note.onset, note.end) for note in mine), (end, end)]
    return [(one[1], other[0]) for one, other in pairwise(edges) if other[0] > one[1]]


def _register(notes: Sequence[Note]) -> float | None:
    """Where a line lies: the mean of its pitches, each as long as it sounds."""
    time = sum(note.duration for note in notes)
    return sum(note.midi * note.duration for note in notes) / time if time else None
