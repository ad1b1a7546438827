"""What bars are called.

A bar that a repeat sign divides is one bar to a musician, whatever its second half is called in the file: the same
number again, ``8a``, ``X1``, or the next number. Its name is that of its first half and covers all of it. Where two
bars have one number, a count in brackets tells which is meant: ``1 (second)``. An upbeat that has the number of the bar
after it is ``0``.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from sitegen.places.nouns import BarName
from sitegen.places.words import counted
from sitegen.score import Bar

_SEPARATORS = re.compile(r"[\s,;()–—/-]+")  # what cannot be part of a name, since places are written with it


def name_bars(bars: Sequence[Bar], ticks_per_quarter: int) -> tuple[BarName, ...]:
    """The names of bars, by their index."""
    numbers = [_SEPARATORS.sub(".", bar.number) or "?" for bar in bars]
    is_upbeat = bool(bars) and bars[0].lead > 0
    if is_upbeat and numbers[0] in numbers[1:2] and "0" not in numbers:
        numbers[0] = "0"
    wholes: list[list[int]] = []
    for index, head in enumerate(heads_of_wholes(bars, ticks_per_quarter)):
        if index == head:
            wholes.append([])
        wholes[-1].append(index)
    own = _all_counted(numbers)
    named = _all_counted([_name_of_whole([numbers[index] for index in whole]) for whole in wholes])
    return tuple(
        BarName(name, own[index], is_upbeat and index == 0)
        for name, whole in zip(named, wholes, strict=True)
        for index in whole
    )


def heads_of_wholes(bars: Sequence[Bar], ticks_per_quarter: int) -> list[int]:
    """For each bar the index of the first of those that make up one bar of the metre together with it."""
    heads: list[int] = []
    for index, bar in enumerate(bars):
        head = heads[-1] if heads else 0
        goes_on = index > 0 and _goes_on(bars[head:index], bar, ticks_per_quarter)
        heads.append(head if goes_on else index)
    return heads


def first_of_whole(bars: Sequence[Bar], index: int, ticks_per_quarter: int) -> int:
    """``heads_of_wholes`` for the bar at ``index`` alone: nothing goes on after a full bar."""
    start = index
    while start > 0 and not _is_full(bars[start - 1], ticks_per_quarter):
        start -= 1
    return start + heads_of_wholes(bars[start : index + 1], ticks_per_quarter)[-1]


def _is_full(bar: Bar, ticks_per_quarter: int) -> bool:
    return bar.lead + bar.length >= bar.metre.quarters * ticks_per_quarter


def _goes_on(before: Sequence[Bar], bar: Bar, ticks_per_quarter: int) -> bool:
    """Whether ``bar`` is more of the bar that ``before`` begins: together they are no longer than their metre, and the
    file counts them as one, or they fill it exactly with a repeat sign between them."""
    head = before[0]
    full = head.metre.quarters * ticks_per_quarter
    length = head.lead + sum(one.length for one in before)
    if head.metre != bar.metre or head.endings != bar.endings or length >= full or length + bar.length > full:
        return False
    if _number(bar.number) in ("", _number(head.number)):
        return True
    return length + bar.length == full and (before[-1].repeat_end or bar.repeat_start)


def _number(name: str) -> str:
    """The figures with which a bar's number begins: none where the file does not count the bar (``X1``)."""
    found = re.match(r"\d+", name)
    return found[0] if found else ""


def _name_of_whole(numbers: Sequence[str]) -> str:
    """What bars that are one are called together: ``8`` for ``8a`` and ``8b``, or for ``8`` and ``X1``."""
    if len(numbers) == 1:
        return numbers[0]
    return next((figures for figures in map(_number, numbers) if figures), numbers[0])


def _all_counted(names: Sequence[str]) -> list[str]:
    alike = Counter(name.casefold() for name in names)
    seen: Counter[str] = Counter()
    found = []
    for name in names:
        seen[name.casefold()] += 1
        found.append(counted(name, seen[name.casefold()], alike[name.casefold()]))
    return found
