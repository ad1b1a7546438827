"""The unit of time that all values of a score share, and the bars that are put on a grid because theirs is too fine.

Tuplets of 7, 11, 13, 17 and 19 in one piece have no common unit that a program can count in. Those that fewest bars
need are not worth the others' exactness: in these bars every beginning and end goes to the nearest place of a grid of
halved values, fine enough to keep apart what is apart.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from sitegen.score.walking import NoteFound, Walk

FINEST = 50_000_000
"""Ticks a quarter, together with ``COMMON``: a long bar of more does not fit the whole numbers of other programs."""
COMMON = 10_080
"""The ticks a quarter that programs which write MusicXML count in."""
_GRIDS = (16, 32, 64, 128, 256)


def settle_on_ticks(walk: Walk) -> int:
    """Ticks a quarter for everything that ``walk`` found; what they cannot hold is moved to a grid, bar by bar."""
    notes: list[list[NoteFound]] = [[] for _ in walk.bars]
    for note in walk.notes:
        notes[note.bar].append(note)
    ticks = math.lcm(4, *(b.metre.quarters.denominator for b in walk.bars),
                     *(b.metre.beat_quarters.denominator for b in walk.bars))  # fmt: skip
    needs = [_unit([b.length, *(v for n in found for v in (n.onset, n.duration))])
             for b, found in zip(walk.bars, notes, strict=True)]  # fmt: skip
    wanted = Counter(needs)
    for need in sorted(wanted, key=lambda unit: (-wanted[unit], unit)):
        if math.lcm(ticks, need, COMMON) <= FINEST:
            ticks = math.lcm(ticks, need)
    ticks = math.lcm(ticks, max(_GRIDS)) if any(ticks % need for need in needs) else ticks
    for index, need in enumerate(needs):
        if ticks % need:
            _to_grid(index, notes[index], walk)
    clefs = {c[2].denominator for c in walk.clefs}
    return math.lcm(ticks, *clefs) if math.lcm(ticks, COMMON, *clefs) <= FINEST else ticks


def _unit(values: Iterable[Fraction]) -> int:
    return math.lcm(*(value.denominator for value in values))


def _to_grid(index: int, notes: list[NoteFound], walk: Walk) -> None:
    bar = walk.bars[index]
    apart = sorted({note.onset for note in notes} | {note.onset + note.duration for note in notes})
    closest = min((b - a for a, b in pairwise(apart)), default=Fraction(1))
    grid = next((g for g in _GRIDS if closest * g >= 1), _GRIDS[-1])
    for note in notes:
        end = Fraction(round((note.onset + note.duration) * grid), grid)
        note.onset = Fraction(round(note.onset * grid), grid)
        note.duration = max(end - note.onset, Fraction(1, grid)) if note.duration else note.duration
    bar.length = max([Fraction(max(1, round(bar.length * grid)), grid), *(n.onset + n.duration for n in notes)])
    bar.odd = True
    walk.odd.add(f"bar {bar.number}", f"its tuplets have no common unit; they are read to the nearest 1/{grid} of a "
                 "quarter note", "Simplify its tuplets.")  # fmt: skip
