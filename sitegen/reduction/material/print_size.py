"""What small print says of notes: ornaments beside large notes, or a figure through which the large ones are sung.

In a staff where most notes are large a few small ones, shorter together than a beat, are ornaments written out; a
longer run of them is a cadenza, and counts as any run. In a staff where most are small they are the figure, and the
large ones among them are a voice of its own, which is held through the figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from sitegen.score import Note, Score
from sitegen.score.metre import beat_ticks


def ornamental(score: Score, printed: Sequence[Note]) -> frozenset[str]:
    """The ids of the small notes that are ornaments. ``printed`` are sounding notes in order."""
    found: set[str] = set()
    for notes in _by_staff(score, printed):
        if _mostly_small(notes):
            continue
        for small, run in groupby(notes, key=lambda note: note.small):
            together = list(run)
            lasting = max(n.end for n in together) - together[0].onset
            if small and lasting < beat_ticks(score, together[0].onset):
                found.update(note.id for note in together)
    return frozenset(found)


def prominent(score: Score, printed: Sequence[Note]) -> frozenset[str]:
    """The ids of the large notes in staves whose figures are printed small."""
    return frozenset(
        note.id for notes in _by_staff(score, printed) if _mostly_small(notes) for note in notes if not note.small
    )


def _by_staff(score: Score, printed: Sequence[Note]) -> list[list[Note]]:
    return [[note for note in printed if note.staff == staff.number] for staff in score.staves]


def _mostly_small(notes: Sequence[Note]) -> bool:
    return 2 * sum(note.small for note in notes) > len(notes)
