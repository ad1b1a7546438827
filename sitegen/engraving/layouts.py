"""The widths that music is drawn for.

Widths are in verovio's units, of which nine make half a staff space and 72 a staff's height; the page scales the
drawing to the room there is. What is read at the piano stands about a metre away, so staves are as large as in printed
piano music or larger, which are 7 to 8 mm high (Gould, *Behind Bars*, 2011, "Stave sizes"), wherever a screen has the
room:

=======  =====================================================  ===========
layout   where                                                  staff
=======  =====================================================  ===========
phone    a phone upright, 390 CSS pixels or 65 mm across        36 px, 6 mm
large    the same, for who wants larger notes                   49 px, 8 mm
wide     a tablet upright, 820 CSS pixels or 160 mm across      37 px, 7 mm
paper    A4 or US Letter                                        7 mm
=======  =====================================================  ===========
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
    Layout("phone", 760),
    Layout("wide", 1500),
    Layout("large", 560),
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
