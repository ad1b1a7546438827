"""Casting off: what is loaded laid out in lines of a width, of which each is drawn when it is asked for.

Laying out costs half of what drawing all of its lines does, and of a wider page few of them are needed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cache

import verovio

from sitegen.engraving.lone_bars import SPACING, spread
from sitegen.engraving.rendering import render
from sitegen.engraving.svg import Tidied, tidy
from sitegen.layouts import OPTIONS

_BREAK = re.compile(r"<[sp]b\b[^>]*/>")
_MEASURE = re.compile(r'<measure [^>]*?xml:id="([^"]*)"')


@dataclass(frozen=True, slots=True)
class StageLines:
    """The lines of a stage, by their index: ``line_of`` a bar's index, and each as it is ``drawn``. They are there
    until the stage is laid out otherwise; those that were drawn before stay drawn."""

    count: int
    line_of: Callable[[int], int]
    drawn: Callable[[int], Tidied]

    def all(self) -> tuple[Tidied, ...]:
        """Every line, in order."""
        return tuple(self.drawn(line) for line in range(self.count))


class Casting:
    """What ``toolkit`` has loaded, whose bars have ``bars`` as indexes by their ids; a drawing keeps the ids ``keep``
    of its notes."""

    def __init__(self, toolkit: verovio.toolkit, bars: Mapping[str, int], keep: frozenset[str]) -> None:
        self._toolkit, self._bars, self._keep = toolkit, bars, keep
        self._names = {index: name for name, index in reversed([*bars.items()])}
        self._unbroken = ""
        self._starts: frozenset[int] = frozenset()
        self._begins: dict[str, float] | None = None

    def filled(self, width: int, printed: bool = False) -> StageLines:
        """Lines for a page of ``width`` units, filled one after the other; no bar is alone on the last one of what is
        ``printed``."""
        self._lay_out(width, str(OPTIONS["breaks"]))
        if printed:
            spread(self._toolkit, self._bars)
        return self._lines()

    def broken(self, width: int, starts: Collection[int]) -> StageLines:
        """Lines for a page of ``width`` units, which begin with the bars ``starts`` and nowhere else."""
        if self._starts != frozenset(starts):
            self._starts = frozenset(starts)
            self._toolkit.setOptions({"inputFrom": "mei", "breaks": "none"})
            self._toolkit.loadData(self._with_breaks({self._names[bar] for bar in starts if bar}))
        self._lay_out(width, "line")
        return self._lines()

    def begins(self, note: str) -> float | None:
        """When a note begins, in quarter notes as they are first played; None for one of no time of its own, as the
        second of two that are tied."""
        if self._begins is None:
            self._begins = {}
            for moment in self._toolkit.renderToTimemap():
                for name in moment.get("on", ()):
                    self._begins.setdefault(name, moment["qstamp"])
        return self._begins.get(note)

    def _lay_out(self, width: int, breaks: str) -> None:
        self._toolkit.setOptions({"pageWidth": width, "breaks": breaks, "spacingLinear": SPACING})
        self._toolkit.redoLayout()

    def _lines(self) -> StageLines:
        @cache
        def drawn(line: int) -> Tidied:
            return tidy(render(self._toolkit, line + 1), self._bars, self._keep)

        def line_of(bar: int) -> int:
            return int(self._toolkit.getPageWithElement(self._names[bar])) - 1

        return StageLines(self._toolkit.getPageCount(), line_of, drawn)

    def _with_breaks(self, starts: Collection[str]) -> str:
        """What is loaded, with a break of the line before each of these bars, and no other."""
        if not self._unbroken:
            self._unbroken = _BREAK.sub("", self._toolkit.getMEI({"removeIds": False}))
        return _MEASURE.sub(lambda found: ("<sb/>" if found[1] in starts else "") + found[0], self._unbroken)
