"""Words that would reach beyond the end of their system, which a drawing counts among nothing that takes room there.

They are set a little smaller, so that they stay where they belong; if that is not enough they begin further left: a
tempo may begin before the bar that it holds for, over the clef (Gould, *Behind Bars*, 2011, "Tempo marks"), rather
than be cut. They go no further than to words that stand before them on the same line; what is too wide even so is set
smaller still. They are told their width, so that those of another font end there too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from sitegen.engraving.beat_units import runs, width_of_run

_SIZE = "font-size"
#: Between words of two directions on one line, in tenths of a unit: half a staff space and more.
_APART = 120
#: How far from each other, in tenths of a unit, lines of words are that do not meet.
_LINE = 300
#: How small words become before they leave their place: as small as fingering, which is three quarters of their size.
_SMALLER = 0.75
#: How small they become so as not to reach into others.
_SMALLEST = 0.6


@dataclass(slots=True)
class Room:
    """The room for words in one system, from ``begin`` to ``end``, in tenths of a unit."""

    begin: float
    end: float
    _set: list[tuple[float, float, Element, Mapping[str, str]]] = field(default_factory=list)

    def fit(self, text: Element, usual: Mapping[str, str]) -> None:
        """Move ``text``, or make it smaller, so that it ends in the room; ``usual`` is the weight and style of words
        that tell none, and of those that are set in several."""
        if text.get("text-anchor"):
            return
        x, y = float(text.get("x", "0")), float(text.get("y", "0"))
        if x + _at_most(text) > self.end:
            wide = _width(text, usual)
            if x + wide > self.end:
                share, x = self._place(x, y, wide)
                text.set("x", f"{x:.0f}")
                text.set("textLength", f"{share * wide:.0f}")
                text.set("lengthAdjust", "spacingAndGlyphs")
                _make_smaller(text, share)
        self._set.append((x, y, text, usual))

    def _place(self, x: float, y: float, wide: float) -> tuple[float, float]:
        """The share of their size, and where they begin, that words of a width have which are to begin at ``x``."""
        share = max(_SMALLER, (self.end - x) / wide)
        if x + share * wide <= self.end + 1:
            return share, x
        ends = [at + _width(text, usual) for at, height, text, usual in self._set if at < x and abs(height - y) < _LINE]
        begin = max([self.begin, *(end + _APART for end in ends if end <= x)])
        if self.end - begin < _SMALLEST * wide:
            begin = self.begin
        share = min(share, (self.end - begin) / wide)
        return share, self.end - share * wide


def _at_most(text: Element) -> float:
    """A width that the words do not reach: no sign is wider than its size."""
    return sum(len(words) * _size(style) for words, style in runs(text))


def _width(text: Element, usual: Mapping[str, str]) -> float:
    told = list(runs(text))
    if len(told) == 1 and {"font-weight", "font-style"} & told[0][1].keys():
        usual = {}
    return sum(width_of_run((words, {**usual, **style})) for words, style in told)


def _size(style: Mapping[str, str]) -> float:
    return float(style.get(_SIZE, "0").removesuffix("px"))


def _make_smaller(text: Element, share: float) -> None:
    for element in text.iter():
        if _SIZE in element.attrib:
            element.set(_SIZE, f"{share * _size(element.attrib):.0f}")
