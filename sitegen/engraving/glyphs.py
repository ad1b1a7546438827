"""What a drawing defines once and uses in many places: glyphs of the music font, the lines of a staff, and signs that
are made of several of these.

One name is one shape in all drawings: a page shows many, and takes the first of a name for all of them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from zlib import crc32

from sitegen.engraving.fonts import outline_of
from sitegen.engraving.outlines import drawn_outline, joined
from sitegen.engraving.strokes import Stroke, staff_outline, stroked

_USUAL_SIZE = ("0.72", "0.72")
#: What the lines of a staff are called.
LINES = "5"

_IN_PLACE = re.compile(r'<use href="#([^"]*)" x="(-?\d+)" y="(-?\d+)"/>')
_CLEF = re.compile(r'<use href="#0[56][0-9A-F](-[\d.-]+)?" ')
_HALF_BRACE = re.compile(r'<path d="M(-?\d+) ?(-?\d+)(c[-\d ]+z)" stroke-width="(\d+)"/>')


@dataclass(slots=True)
class Glyphs:
    """The glyphs of one drawing: ``outlines`` are those of the font that verovio draws with, by their code, ``defined``
    what is drawn with, by name."""

    outlines: Mapping[str, str]
    defined: dict[str, str] = field(default_factory=dict)
    _names: dict[tuple[str, str, str], str] = field(default_factory=dict)

    def named(self, code: str, across: str, along: str) -> str:
        """The name of a glyph of the font in a size."""
        known = self._names.get((code, across, along))
        if known is not None:
            return known
        size = "" if (across, along) == _USUAL_SIZE else "-" + "-".join(dict.fromkeys((across, along)))
        name = self._names[code, across, along] = (code[1:] if code[1].isdigit() else code) + size
        outline = self.outlines.get(code) or outline_of(code)
        self.defined[name] = f'<path id="{name}" d="{drawn_outline(outline, across, along)}"/>'
        return name

    def put(self, code: str, size: str, x: int, y: int) -> str:
        """A glyph of the font in a size and its place."""
        return used(self.named(code, size, size), x, y)

    def staff(self, x: int, y: int, to_x: int) -> str:
        """The lines of a staff as they mostly are, from ``x`` to ``to_x``, the first at ``y``."""
        self.defined[LINES] = f'<path id="{LINES}" d="{staff_outline()}"/>'
        return f'<use href="#{LINES}" transform="matrix({to_x - x} 0 0 1 {x} {y})"/>'

    def signature(self, accidentals: str, before: list[str]) -> str:
        """A signature as one sign, with the clef where that is the last of what stands ``before`` it."""
        whole = (before.pop() if before and _CLEF.match(before[-1]) else "") + accidentals
        found = _IN_PLACE.findall(whole)
        if len(found) < 2 or "".join(used(*one) for one in found) != whole:
            return whole
        x, y = int(found[0][1]), int(found[0][2])
        parts = "".join(used(name, int(to_x) - x, int(to_y) - y) for name, to_x, to_y in found)
        return used(self._composed(parts), x, y)

    def head(self, width: str, line: Stroke, brace: Sequence[str]) -> str | None:
        """The line that joins the staves of a system, and its brace, as one sign; None for what is drawn otherwise."""
        halves = [_HALF_BRACE.fullmatch(half) for half in brace]
        if len({half[4] if half else "" for half in halves}) != 1 or None in halves:
            return None
        x, top, _, bottom = line
        outline = "".join(f"M{joined([int(half[1]), int(half[2]) - top])}{half[3]}" for half in halves if half)
        thick = "".join(half[4] for half in halves[:1] if half)
        parts = f'<path {width} d="{stroked([(x, 0, x, bottom - top)])}"/><path stroke-width="{thick}" d="{outline}"/>'
        return f'<use href="#{self._composed(parts)}" y="{top}"/>'

    def _composed(self, parts: str) -> str:
        name = f"0{crc32(parts.encode()):08x}"
        self.defined[name] = f'<g id="{name}">{parts}</g>'
        return name


def used(name: str, x: int | str, y: int | str, attributes: str = "") -> str:
    """A glyph in its place, with these attributes of its own before."""
    return f'<use{attributes} href="#{name}" x="{x}" y="{y}"/>'
