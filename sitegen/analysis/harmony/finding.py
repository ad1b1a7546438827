"""Find the harmonies of a score: chord templates over beats, the cheapest path through them."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.nouns import Harmony
from sitegen.score import Score

_QUALITIES = ((0, 4, 7), (0, 3, 7), (0, 4, 7, 10), (0, 3, 6), (0, 3, 6, 9), (0, 3, 7, 10), (0, 3, 6, 10))
_CHORDS = tuple((root, tuple((root + i) % 12 for i in tones)) for tones in _QUALITIES for root in range(12))
_CHANGE = 0.9
_SHARPS_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


def find_harmonies(score: Score) -> tuple[Harmony, ...]:
    """The harmonies of ``score`` in order, covering it from 0 to ``score.end`` without gap or overlap."""
    if not score.bars or not score.end:
        return ()
    starts = sorted(
        {
            tick
            for bar in score.bars
            for tick in range(bar.onset, bar.end, max(1, int(bar.metre.beat_quarters * score.ticks_per_quarter)))
        }
    )
    cells = np.zeros((len(starts), 12))
    edges = np.array([*starts, score.end])
    lowest: list[int | None] = [None] * len(starts)
    for note in score.sounding():
        first = int(np.searchsorted(edges, note.onset, "right")) - 1
        for cell in range(first, len(starts)):
            overlap = min(note.end, edges[cell + 1]) - max(note.onset, edges[cell])
            if overlap <= 0:
                break
            cells[cell, note.pitch.pitch_class] += overlap / (edges[cell + 1] - edges[cell])
            low = lowest[cell]
            lowest[cell] = note.midi if low is None else min(low, note.midi)
    inside = np.array([[pc in tones for _, tones in _CHORDS] for pc in range(12)], float)
    fit = np.minimum(cells, 1.5) @ (2 * inside - 1) - 0.3 * np.array([len(tones) for _, tones in _CHORDS])
    path = _cheapest(fit)
    key = _SHARPS_MAJOR[score.bars[0].fifths + 7] + " major"
    found: list[Harmony] = []
    for cell, chord in enumerate(path):
        root, tones = _CHORDS[chord]
        low = lowest[cell]
        if low is None:
            harmony = Harmony(int(edges[cell]), int(edges[cell + 1] - edges[cell]))
        else:
            bass = low % 12 if low % 12 in tones else root
            harmony = Harmony(
                int(edges[cell]), int(edges[cell + 1] - edges[cell]), frozenset(tones), bass, root, key, why="template"
            )
        found.append(harmony)
    return tuple(found)


def _cheapest(fit: np.ndarray) -> list[int]:
    best, back = fit[0], []
    for row in fit[1:]:
        jump = best.max() - _CHANGE
        back.append(np.where(best >= jump, np.arange(best.size), best.argmax()))
        best = np.maximum(best, jump) + row
    path = [int(best.argmax())]
    for pointers in reversed(back):
        path.append(int(pointers[path[-1]]))
    return path[::-1]
