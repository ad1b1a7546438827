"""Where a voice is silent: a rest where the whole staff is, and where the voice goes on alone after it; else a gap.

What begins together with a note of another voice is seen to; what begins between the others' notes is placed by the
rests before it (Gould, *Behind Bars*, 2011, "Rests in double-stemmed parts").
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.notation.voices import Chord


def silences(chords: Sequence[Chord], start: int, end: int) -> list[tuple[int, int]]:
    """The stretches (from, to) between ``start`` and ``end`` in which none of ``chords`` sounds."""
    found, reached = [], start
    for chord in sorted(chords, key=lambda c: c.onset):
        if chord.grace:
            continue
        if chord.onset > reached:
            found.append((reached, chord.onset))
        reached = max(reached, chord.end)
    if reached < end:
        found.append((reached, end))
    return found


def rests_needed(voice: Sequence[Chord], others: Sequence[Chord], start: int, end: int) -> list[tuple[int, int]]:
    """The silences of a voice that must be shown for what follows them to be read: it is struck with no note of the
    other voices."""
    struck = {chord.onset for chord in others if not chord.grace}
    return [(low, high) for low, high in silences(voice, start, end) if high < end and high not in struck]


def intersect(one: Sequence[tuple[int, int]], other: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The stretches that lie in both."""
    return [
        (max(a, c), min(b, d)) for a, b in one for c, d in other if max(a, c) < min(b, d)
    ]  # both are short: the silences of one bar


def subtract(one: Sequence[tuple[int, int]], other: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The parts of ``one`` that do not lie in ``other``."""
    left = list(one)
    for a, b in other:
        parts = []
        for c, d in left:
            if b <= c or d <= a:
                parts.append((c, d))
                continue
            if c < a:
                parts.append((c, a))
            if b < d:
                parts.append((b, d))
        left = parts
    return left
