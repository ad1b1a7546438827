"""The widths that music is drawn for.

Widths are in verovio's units, of which nine make half a staff space and 72 a staff's height; the page scales the
drawing to the room there is. On a phone of 390 CSS pixels a staff is then 33 pixels high, 9 mm: readable from the
stand; ``large`` is for those who want larger notes. On paper a staff is 7 mm high: staff sizes of 7 to 8 mm are usual
in printed piano music (Gould, *Behind Bars*, 2011, "Stave sizes").
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layout:
    """``width`` of a system with its margins, in units."""

    name: str
    width: int


_UNITS_A_STAFF = 72
_PAPER_STAFF = 7
#: The width in millimetres that A4 (210) leaves between margins of 15, and US Letter (216) between those of 18.
PAPER_WIDTH = 180

LAYOUTS = (
    Layout("phone", 860),
    Layout("wide", 2100),
    Layout("large", 620),
    Layout("paper", round(PAPER_WIDTH * _UNITS_A_STAFF / _PAPER_STAFF)),
)
EXCERPT = Layout("excerpt", 1100)
INCIPIT_BARS = 3

#: What all layouts share: one system a page, so that each system is a file of its own.
OPTIONS: dict[str, object] = {
    "pageHeight": 2000,
    "pageMarginLeft": 40,
    "pageMarginRight": 12,
    "pageMarginTop": 12,
    "pageMarginBottom": 12,
    "adjustPageHeight": True,
    "systemMaxPerPage": 1,
    "breaks": "auto",
    "header": "none",
    "footer": "none",
    "svgViewBox": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
    "scale": 100,
    "spacingStaff": 10,
    "xmlIdChecksum": True,
}
