"""Tuplet brackets and figures: where a group begins and ends, and whether its figure needs to be printed.

A figure is printed through the first bar in which a kind of tuplet appears on a staff and left out while the kind goes
on; a bracket is drawn where no beam holds the group together (Gould, *Behind Bars*, 2011, "Tuplets").
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.notation.values import BEAMED
from sitegen.notation.written import Written
from sitegen.score import Bar


class TupletFigures:
    """What has been printed on one staff so far: the bar in which each kind of tuplet was last met. ``quarter`` is how
    many ticks make a quarter note."""

    def __init__(self, quarter: int) -> None:
        self._last: dict[tuple[int, int], tuple[int, int]] = {}
        self._quarter = quarter
        self._odd = quarter // (quarter & -quarter)

    def mark(self, timed: Sequence[Written], b: Bar) -> None:
        """Group the tuplets of one voice of a bar, given without its graces."""
        for group in self._groups(timed, b.onset - b.lead):
            first, last = group[0], group[-1]
            kind = first.value.actual, first.value.normal
            seen, began = self._last.get(kind, (-2, b.index))
            began = began if seen >= b.index - 1 else b.index
            self._last[kind] = b.index, began
            beamed = all(w.heads and w.length < self._quarter and w.value.type in BEAMED for w in group)
            first.bracket = not beamed and len(group) > 1
            first.figured = began == b.index or not beamed
            first.opens = last.closes = True

    def _groups(self, timed: Sequence[Written], before: int) -> list[list[Written]]:
        """Runs of one kind of tuplet, cut where they come back to a place that needs no tuplet; the metre counts from
        tick ``before``."""
        groups: list[list[Written]] = []
        group: list[Written] = []
        for written in timed:
            actual = written.value.actual
            if group and actual != group[0].value.actual:
                groups.append(group)
                group = []
            if actual == 1:
                continue
            group.append(written)
            if (written.end - before) % self._odd == 0:
                groups.append(group)
                group = []
        return groups + ([group] if group else [])
