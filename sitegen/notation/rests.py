"""Where a voice is silent: rests only where the whole staff is silent, gaps elsewhere."""

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
