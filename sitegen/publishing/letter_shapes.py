"""Words as shapes, for pictures that no font comes with: the outlines of their letters, set in lines of a width.

The letters are those of DejaVu Serif (Latin with its accents, Greek, Cyrillic, Armenian, Georgian), which matplotlib
brings; it has not changed since 2016. Words in a script that it does not have get no shape: no sign is an empty box.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

_FILE = "mpl-data/fonts/ttf/DejaVuSerif.ttf"
_CUT = "…"
_LEADING = 1.2  # ems from line to line


@dataclass(frozen=True, slots=True)
class Lettering:
    """Words of one size, a line under the other from ``top`` on: SVG in pixels, and where it ends."""

    svg: str
    end: float


def letter(words: str, size: float, left: float, top: float, width: float, most: int) -> Lettering | None:
    """``words`` in letters of ``size`` pixels in lines no wider than ``width``; what ``most`` lines do not hold is cut.
    None where the font lacks one of their letters, or there are none."""
    font, said = _font(), " ".join(unicodedata.normalize("NFC", words).split())
    if font is None or not said or any(sign not in font.glyphs for sign in said):
        return None
    lines = _lines(said.split(" "), font, width / size, most)
    shapes = [_shape(line, font, size, left, top + (1 + _LEADING * place) * size) for place, line in enumerate(lines)]
    return Lettering("".join(shapes), top + _LEADING * size * len(lines))


@dataclass(frozen=True, slots=True)
class _Font:
    """Its letters: the name of the glyph of each, and how far each takes what follows it, in ems; ``units`` is how many
    of the glyphs' units make an em."""

    file: TTFont
    glyphs: dict[str, str]
    widths: dict[str, float]
    units: int

    def width(self, words: str) -> float:
        """In ems."""
        return sum(self.widths[sign] for sign in words)


@cache
def _font() -> _Font | None:
    found = find_spec("matplotlib")
    if found is None or not found.origin or not (file := Path(found.origin).parent / _FILE).is_file():
        return None
    font = TTFont(file, lazy=True)
    units = int(font["head"].unitsPerEm)
    named = {chr(code): name for code, name in font.getBestCmap().items()}
    # marks that stand over another letter would have to be placed
    letters = {sign: name for sign, name in named.items() if unicodedata.category(sign)[0] not in "MC"}
    return _Font(font, letters, {sign: font["hmtx"][name][0] / units for sign, name in letters.items()}, units)


def _lines(words: Sequence[str], font: _Font, width: float, most: int) -> list[str]:
    """The words in lines of ``width`` ems; a line that is too long for it is cut between letters."""
    lines = [""]
    for word in words:
        longer = f"{lines[-1]} {word}".strip()
        if not lines[-1] or font.width(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    kept = lines[:most]
    if len(lines) > most:
        kept[-1] += _CUT
    return [line if font.width(line) <= width else _cut(line, font, width) for line in kept]


def _cut(line: str, font: _Font, width: float) -> str:
    line = line.removesuffix(_CUT)
    while line and font.width(line + _CUT) > width:
        line = line[:-1].rstrip()
    return line + _CUT


def _shape(line: str, font: _Font, size: float, left: float, baseline: float) -> str:
    glyphs, scale = font.file.getGlyphSet(), size / font.units
    at, shapes = left, []
    for sign in line:
        pen = SVGPathPen(glyphs)
        glyphs[font.glyphs[sign]].draw(pen)
        if commands := pen.getCommands():
            place = f"matrix({scale:.5f} 0 0 {-scale:.5f} {at:.2f} {baseline:.2f})"
            shapes.append(f'<path transform="{place}" d="{commands}"/>')
        at += font.widths[sign] * size
    return "".join(shapes)
