"""Tuplet brackets and figures: where a group begins and ends, and whether its figure needs to be printed.

A figure is printed through the first bar in which a kind of tuplet appears on a staff and left out while the kind goes
on; a bracket is drawn where no beam holds the group together (Gould, *Behind Bars*, 2011, "Tuplets").
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from music21 import note


class TupletFigures:
    """What has been printed on one staff so far: the bar in which each kind of tuplet was last met."""

    def __init__(self) -> None:
        self._last: dict[tuple[int, int], tuple[int, int]] = {}

    def mark(self, elements: Sequence[tuple[Fraction, note.GeneralNote]], lead: Fraction, bar: int) -> None:
        """Group the tuplets of one voice of bar number ``bar`` (counted from 0).

        ``elements`` are (place after the bar line, note or rest); ``lead`` is what the metre counts before them.
        """
        for group in _groups(elements, lead):
            first, last = group[0].duration.tuplets[0], group[-1].duration.tuplets[0]
            kind = first.numberNotesActual, first.numberNotesNormal
            seen, began = self._last.get(kind, (-2, bar))
            began = began if seen >= bar - 1 else bar
            self._last[kind] = bar, began
            beamed = all(isinstance(e, note.NotRest) and e.duration.quarterLength < 1 for e in group)
            beamed = beamed and all(e.duration.type not in ("quarter", "half", "whole", "breve") for e in group)
            for tuplet in {id(t): t for t in (first, last)}.values():
                tuplet.bracket = not beamed and len(group) > 1
                tuplet.tupletActualShow = "number" if began == bar or not beamed else None
            if first is last:
                first.type = "startStop"
            else:
                first.type, last.type = "start", "stop"


def _groups(elements: Sequence[tuple[Fraction, note.GeneralNote]], lead: Fraction) -> list[list[note.GeneralNote]]:
    """Runs of one kind of tuplet, cut where they come back to a place that needs no tuplet."""
    groups: list[list[note.GeneralNote]] = []
    open_group: list[note.GeneralNote] = []
    for place, element in elements:
        if element.duration.isGrace:
            continue
        tuplets = element.duration.tuplets
        if open_group and (not tuplets or tuplets[0].numberNotesActual != _actual(open_group)):
            groups.append(open_group)
            open_group = []
        if not tuplets:
            continue
        open_group.append(element)
        end = lead + place + Fraction(element.duration.quarterLength)
        if end.denominator & (end.denominator - 1) == 0:
            groups.append(open_group)
            open_group = []
    return groups + ([open_group] if open_group else [])


def _actual(group: Sequence[note.GeneralNote]) -> int:
    return int(group[0].duration.tuplets[0].numberNotesActual)
