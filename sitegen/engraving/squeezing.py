"""Bars that are wider than a system: verovio breaks no bar, and pushes its notes together on a line of its own.

Such a line is drawn for a wider page, and shown smaller in the same room: what can be read small is better than what
cannot be read. Where only a few lines of a stage are so, these alone are smaller; where many are, all of them, since
staves that change their size from line to line are read less well than small ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from sitegen.engraving.svg import Tidied

HEAD = 212
"""How wide a black notehead is, in tenths of a unit: 1.18 staff spaces (``noteheadBlack`` in the metadata of SMuFL's
fonts)."""
SPACE = 180
"""The space between two lines of a staff, in tenths of a unit."""
WIDER = (1.35, 1.8, 2.4)
"""By how much pages are made wider, one after the other."""
FEW = 4
"""Of so many lines at most the size changes alone."""
_TOGETHER = 0.15  # of a head: nearer than this they are one under the other
_APART = 0.95  # of a head
_PART = re.compile(r'<use href="#5" transform="matrix|<use (?:id="[^"]*" )?href="#0A[234]" x="(-?\d+)" y="(-?\d+)"')


def unsqueezed(
    systems: Sequence[Tidied], width: int, drawn_for: Callable[[int], Sequence[Tidied]]
) -> tuple[Tidied, ...]:
    """``systems`` drawn for a page of ``width`` units, with those that are pushed together drawn for a wider one by
    ``drawn_for``."""
    found = tuple(systems)
    for factor in WIDER:
        tight = [n for n, system in enumerate(found) if near_heads(system)]
        if not tight:
            break
        wider = tuple(drawn_for(round(width * factor)))
        mixed = _with_lines_of(found, wider, [n for n in tight if _is_eased(found[n], wider)])
        found = wider if mixed is None else mixed
    return found


def near_heads(system: Tidied) -> int:
    """How many noteheads of a line of one bar overlap the one before in their staff, at the same height or a step away.
    Notes of one chord may do so too: then they do so on a page of any width."""
    if len(system.bars) != 1:
        return 0
    return sum(
        _TOGETHER < (x - before) / HEAD < _APART and abs(y - height) <= SPACE
        for staff in _staves(system.body)
        for (before, height), (x, y) in pairwise(staff)
    )


def _is_eased(system: Tidied, wider: Sequence[Tidied]) -> bool:
    """Whether a wider page helps: the bar has a line with others there, or fewer heads that overlap."""
    there = next(other for other in wider if system.bars[0] in other.bars)
    return len(there.bars) > 1 or near_heads(there) < near_heads(system)


def _with_lines_of(
    narrow: Sequence[Tidied], wider: Sequence[Tidied], eased: Sequence[int]
) -> tuple[Tidied, ...] | None:
    """``narrow`` with the lines at the indexes ``eased`` from ``wider``, and with them what lies between the nearest
    breaks that both have; None where most of it is to be wider."""
    if len(eased) > FEW:
        return None
    common = {min(system.bars, default=0) for system in narrow} & {min(system.bars, default=0) for system in wider}
    stretches = set()
    for index in eased:
        bar = narrow[index].bars[0]
        from_bar = max(start for start in common if start <= bar)
        stretches.add((from_bar, min((start for start in common if start > bar), default=None)))
    chosen = [system for system in narrow if not _lies_in(system, stretches)]
    chosen += [system for system in wider if _lies_in(system, stretches)]
    return tuple(sorted(chosen, key=lambda system: min(system.bars, default=0)))


def _lies_in(system: Tidied, stretches: set[tuple[int, int | None]]) -> bool:
    first = min(system.bars, default=0)
    return any(start <= first and (end is None or first < end) for start, end in stretches)


def _staves(body: str) -> Iterator[list[tuple[int, int]]]:
    """The places of the noteheads of each staff of each bar, from the left."""
    staff: list[tuple[int, int]] = []
    for part in _PART.finditer(body):
        if part[1] is None:
            yield sorted(staff)
            staff = []
        else:
            staff.append((int(part[1]), int(part[2])))
    yield sorted(staff)
