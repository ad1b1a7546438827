"""The widths that music is drawn for.

Widths are in verovio's units, of which nine make half a staff space and 72 a staff's height; the page scales the
drawing to the room there is. What is read at the piano stands about a metre away, so staves are as large as in printed
piano music or larger, which are 7 to 8 mm high (Gould, *Behind Bars*, 2011, "Stave sizes"), wherever a screen has the
room:

=======  =====================================================  ============
layout   where                                                  staff
=======  =====================================================  ============
large    a phone upright, 390 CSS pixels or 65 mm across, for   49 px, 8 mm;
         who wants the largest notes; in 86 % of the width for  42 px, 7 mm
         who wants larger ones
phone    the same; for who wants larger notes a tablet, a desk  36 px, 6 mm;
         and a phone on its side, in two scales                 50 and 67 px
wide     a phone on its side, a tablet upright, 820 CSS pixels  36 px, 7 mm;
         or 160 mm across, a desk; A4 or US Letter              7.9 mm
=======  =====================================================  ============

A width between the last two, for smaller notes on a phone, would add three tenths to the bytes of the drawings; none of
these serves for it, since staves of the wide one would be 17 pixels or 2.8 mm high there.
"""

from __future__ import annotations

from dataclasses import dataclass

#: How large a sheet may grow, in characters: so that a file is worth its request, and what is not yet seen is not
#: fetched with what is.
LARGEST = 200_000


@dataclass(frozen=True, slots=True)
class Layout:
    """``width`` of a system with its margins, in units; ``first`` is how large its first sheet may be, in characters:
    small where it is fetched by a phone before any music is seen. Paper has what is ``printed``."""

    name: str
    width: int
    first: int
    printed: bool = False


_BEFORE_MUSIC = 56_000

LAYOUTS = (
    Layout("large", 560, _BEFORE_MUSIC),
    Layout("phone", 760, _BEFORE_MUSIC),
    Layout("wide", 1650, LARGEST, printed=True),
)
LAYOUT_NAMES = tuple(layout.name for layout in LAYOUTS)
EXCERPT = Layout("excerpt", 1100, LARGEST)
INCIPIT_BARS = 3

#: What all layouts share: one system a page, so that each is cut to its own height.
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
    "svgFormatRaw": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
    "scale": 100,
    "spacingStaff": 10,
    "xmlIdChecksum": True,
}
