"""What sounds together, and how many voices that makes.

A contrapuntal piece has as many voices as sound together regularly: a full chord at the close, or a voice that doubles
for a bar, is no further voice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from sitegen.score import Note

MOST_VOICES = 6
REGULARLY = 0.08  # of the time in which anything sounds: that so many notes sound together
IN_BARS = 1 / 6  # of the bars in which anything sounds: that they do so in each


def moments(notes: Sequence[Note]) -> Iterator[tuple[int, int, list[int]]]:
    """Each stretch in which the same notes sound: its onset, its end, and the places of these notes in ``notes``,
    which are in order of onset and have lengths. Silent stretches are left out."""
    ticks = sorted({tick for note in notes for tick in (note.onset, note.end)})
    held: list[int] = []
    place = 0
    for onset, end in pairwise(ticks):
        held = [k for k in held if notes[k].end > onset]
        while place < len(notes) and notes[place].onset == onset:
            held.append(place)
            place += 1
        if held:
            yield onset, end, held


def count_voices(notes: Sequence[Note]) -> int:
    """How many voices the ``notes`` of a piece make: the most that sound together regularly; 0 for no notes.

    A unison of two voices counts once. The last bar is left out, for its chord is as full as it can be.
    """
    last = max((note.bar for note in notes), default=0)
    notes = [note for note in notes if note.bar < last] or notes
    times: Counter[int] = Counter()
    bars: dict[int, set[int]] = {}
    for onset, end, held in moments(notes):
        together = min(MOST_VOICES, len({notes[k].midi for k in held}))
        for count in range(1, together + 1):
            times[count] += end - onset
            bars.setdefault(count, set()).add(notes[held[-1]].bar)
    if not times:
        return 0
    return max(
        count
        for count, time in times.items()
        if time >= REGULARLY * times[1] and len(bars[count]) >= IN_BARS * len(bars[1])
    )
