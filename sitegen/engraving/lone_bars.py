"""No bar alone on the last line of what is printed.

A last line of one bar is a sheet's worst: an eye that has jumped down finds the end there, and often the page must be
turned for it (Gould, *Behind Bars*, 2011, "Casting off": a system that is short is avoided by spreading those before
it). verovio fills each line as far as it goes. So the bars are set a little wider, which is hardly seen on any line and
brings further bars down to the last one; where that helps nothing, a little narrower, which leaves no last bar over.
"""

from __future__ import annotations

from collections.abc import Mapping

import verovio

#: verovio's own width of notes for their length, and those that are tried in turn: a sixth more or less at most.
SPACING = 0.25
_TRIED = (0.255, 0.26, 0.265, 0.27, 0.28, 0.29, 0.245, 0.24, 0.235, 0.23, 0.22, 0.21)
#: Fewer bars on the line before it, and a bar alone is no odd one.
_BARS_A_LINE = 3


def spread(toolkit: verovio.toolkit, bars: Mapping[str, int]) -> None:
    """Lay out what ``toolkit`` has laid out again, where its last bar stands alone under lines of several.

    ``bars`` are the indexes of the bars by their ids. What none of the widths helps is left as it was.
    """
    if not _last_is_alone(toolkit, bars):
        return
    for spacing in (*_TRIED, SPACING):
        toolkit.setOptions({"spacingLinear": spacing})
        toolkit.redoLayout()
        if not _last_is_alone(toolkit, bars):
            return


def _last_is_alone(toolkit: verovio.toolkit, bars: Mapping[str, int]) -> bool:
    last = sorted(bars, key=lambda name: bars[name])[-1 - _BARS_A_LINE :]
    lines = [toolkit.getPageWithElement(name) for name in last]
    return len(set(lines[:-1])) == 1 and lines[-1] > lines[0]
