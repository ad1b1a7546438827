"""Bars that are pushed together: verovio breaks no bar, and makes one that is wider than its line narrower.

Such a line is drawn for a wider page, and shown smaller in the same room: what can be read small is better than what
cannot be read. Where only a few lines of a stage are so, these alone are smaller; where many are, all of them, since
staves that change their size from line to line are read less well than small ones.

verovio also keeps a bar whose words reach far beyond its end on one line with the next, so that they are not cut, be
there room for its notes or not. Words are fitted into their line here (``room.py``): bars that are pushed together so
are given a line each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from sitegen.engraving.casting import Casting, StageLines
from sitegen.engraving.svg import FINE, Tidied

HEAD = 212
"""How wide a black notehead is, in tenths of a unit: 1.18 staff spaces (``noteheadBlack`` in the metadata of SMuFL's
fonts)."""
SPACE = 180
"""The space between two lines of a staff, in tenths of a unit."""
USUAL = 0.72
"""The size of glyphs of notes that are not small, as the names of the others tell theirs."""
WIDER = (1.35, 1.8, 2.4)
"""By how much pages are made wider, one after the other."""
FEW = 4
"""Of so many lines at most the size changes alone."""
_TOGETHER = 0.15  # of a head: nearer than this they are one under the other
_APART = 0.95  # of a head: the seconds of a chord stand a stem's width less than a head apart
_SHORTEST = 1 / 32  # of a quarter note: less may lie between the notes of a chord that is spread
_BAR = re.compile(r'(?=<g data-bar="\d)')
_PART = re.compile(
    r'<use href="#5" transform="matrix|'
    r'<use (?:id="(?P<name>[^"]*)" )?href="#0A[234](?:-(?P<size>[\d.]+))?" x="(?P<x>-?\d+)" y="(?P<y>-?\d+)"'
)

#: Where a head stands, across and down, how wide it is, in tenths of a unit, and the id of its note.
_Head = tuple[int, int, float, str]


def unsqueezed(casting: Casting, width: int, printed: bool) -> tuple[Tidied, ...]:
    """The lines of ``casting`` for a page of ``width`` units, those that are pushed together for a wider one or
    parted; on paper no bar is alone on the last one (``printed``)."""
    return _parted(casting, _widened(casting, casting.filled(width, printed).all(), width, printed))


def near_heads(bar: str, begins: Callable[[str], float | None]) -> tuple[int, ...]:
    """How far noteheads stand after one before in their staff, in tenths of a unit, that overlap it at the same height
    or up to a third away, though their notes begin one after the other.

    ``begins`` tells when a note begins, by its id. Of what does not tell it may be notes of one chord, which overlap on
    a page of any width.
    """
    return tuple(near for near, _, _ in _near(bar, begins))


def _near(bar: str, begins: Callable[[str], float | None]) -> Iterator[tuple[int, int, bool]]:
    """The distances of ``near_heads`` across and down, and whether the notes are known to begin one after the other."""
    for staff in _staves(bar):
        for n, (before, height, wide, name) in enumerate(staff):
            for x, y, _, other in staff[n + 1 :]:
                if x - before >= wide:
                    break
                if abs(y - height) > SPACE:
                    continue
                close, later = (x - before) / wide, _later(begins(name), begins(other))
                sure = later is not None and later >= _SHORTEST
                if later != 0 and close > _TOGETHER and (sure or (wide == HEAD and close < _APART)):
                    yield x - before, abs(y - height), sure


def _later(one: float | None, other: float | None) -> float | None:
    """How long lies between the beginnings of two notes, in quarter notes; None where that is not known."""
    return None if one is None or other is None else abs(other - one)


def _widened(casting: Casting, found: tuple[Tidied, ...], width: int, printed: bool) -> tuple[Tidied, ...]:
    """``found``, with lines of one bar that is pushed together from a wider page."""
    for factor in WIDER:
        tight = [n for n, one in enumerate(found) if len(one.bars) == 1 and near_heads(one.body, casting.begins)]
        if not tight:
            break
        wider = casting.filled(round(width * factor), printed)
        eased = [n for n in tight if _is_eased(found[n], wider, casting)]
        if not eased:
            break
        found = wider.all() if len(eased) > FEW else _with_lines_of(found, wider, eased)
    return found


def _is_eased(narrow: Tidied, wider: StageLines, casting: Casting) -> bool:
    """Whether a wider page moves the overlapping heads of a line of one bar."""
    there = wider.drawn(wider.line_of(narrow.bars[0]))
    bar = _BAR.split(there.body)[1:][there.bars.index(narrow.bars[0])]
    return near_heads(bar, casting.begins) != near_heads(narrow.body, casting.begins)


def _with_lines_of(narrow: Sequence[Tidied], wider: StageLines, eased: Sequence[int]) -> tuple[Tidied, ...]:
    """``narrow`` with the lines at the indexes ``eased`` from ``wider``, and with them what lies between the nearest
    breaks that both have."""
    starts = {_first(line) for line in narrow}
    chosen: dict[int, Tidied] = {}
    for index in eased:
        first = last = wider.line_of(narrow[index].bars[0])
        while first and _first(wider.drawn(first)) not in starts:
            first -= 1
        while last + 1 < wider.count and _first(wider.drawn(last + 1)) not in starts:
            last += 1
        chosen |= {line: wider.drawn(line) for line in range(first, last + 1)}
    replaced = {bar for line in chosen.values() for bar in line.bars}
    kept = [line for line in narrow if not replaced.intersection(line.bars)]
    return tuple(sorted([*kept, *chosen.values()], key=_first))


def _parted(casting: Casting, found: tuple[Tidied, ...]) -> tuple[Tidied, ...]:
    """``found``, with lines of several bars that are pushed together parted, a line for each bar; for a wider page
    where a bar is wider than that."""
    together = [line for line in found if len(line.bars) > 1 and _is_pushed_together(line, casting)]
    if not together:
        return found
    starts = {_first(line) for line in found} | {bar for line in together for bar in line.bars}
    lines = {_first(line): line for line in found}
    for width in sorted({line.width for line in together}):
        tight = {bar for line in together if line.width == width for bar in line.bars}
        for factor in (1, *WIDER):
            wider = casting.broken(round(width / FINE * factor), starts)
            drawn = {bar: wider.drawn(wider.line_of(bar)) for bar in tight}
            if factor > 1:
                drawn = {
                    bar: line
                    for bar, line in drawn.items()
                    if _runs_back(lines[bar].body, casting.begins) or _is_eased(lines[bar], wider, casting)
                }
            lines |= drawn
            tight = {bar for bar, line in drawn.items() if _is_tight(line, casting)}
            if not tight:
                break
    for line in together:
        if any(_runs_back(lines[bar].body, casting.begins) for bar in line.bars):
            lines = {bar: other for bar, other in lines.items() if bar not in line.bars} | {_first(line): line}
    return tuple(lines[bar] for bar in sorted(lines))


def _is_tight(line: Tidied, casting: Casting) -> bool:
    return bool(near_heads(line.body, casting.begins)) or _runs_back(line.body, casting.begins)


def _runs_back(bar: str, begins: Callable[[str], float | None]) -> bool:
    """Whether notes stand before earlier ones: verovio draws a line so whose last words are longer than it is."""
    for staff in _staves(bar):
        times = [begin for *_, name in staff if (begin := begins(name)) is not None]
        if len(times) > 1 and times[0] > times[-1]:
            return True
    return False


def _is_pushed_together(line: Tidied, casting: Casting) -> bool:
    """Whether heads of notes that begin one after the other overlap at the same height or a step away."""
    return any(sure and down < SPACE for _, down, sure in _near(line.body, casting.begins))


def _first(line: Tidied) -> int:
    """The bar that a line begins with."""
    return min(line.bars, default=0)


def _staves(body: str) -> Iterator[list[_Head]]:
    """The heads of each staff of each bar, from the left."""
    staff: list[_Head] = []
    for part in _PART.finditer(body):
        if part["x"] is None:
            yield sorted(staff)
            staff = []
        else:
            wide = HEAD * float(part["size"] or USUAL) / USUAL
            staff.append((int(part["x"]), int(part["y"]), wide, part["name"] or ""))
    yield sorted(staff)
