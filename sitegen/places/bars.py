"""Finding bars by their names.

A name covers all of a bar that a repeat sign divides; a half that has a number of its own in the file is understood by
that too. Several bars of one number that follow each other, such as two endings, are meant together. ``upbeat`` and
``0`` are always the upbeat.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from sitegen.errors import ContentError
from sitegen.places.nouns import BarName, Place

UPBEAT = "upbeat"
_FIGURES = re.compile(r"(?<!\d)\d{1,9}(?!\d)")  # what counts bars; a file may have any text for a number
_COUNT = re.compile(r" \(\w+\)$")


def find_bars(names: Sequence[BarName], place: Place) -> tuple[int, int]:
    """The indices of the first and the last bar of ``place`` among the bars called ``names``.

    Raises ``ContentError`` for a bar that is not there, for a name of several, and where the last is before the first.
    """
    first, last = _find(names, place.first)[0], _find(names, place.last)[1]
    if last < first:
        raise ContentError(f"'{place.text}' ends before it begins", "give the earlier bar first")
    return first, last


def _find(names: Sequence[BarName], name: str) -> tuple[int, int]:
    """The first and the last bar called ``name``."""
    said = name.casefold()
    for known in ([bar.whole for bar in names], [bar.own for bar in names]):
        found = [index for index, one in enumerate(known) if one.casefold() == said]
        if found:
            return found[0], found[-1]
    if said in (UPBEAT, "0") and names and names[0].upbeat:
        return 0, 0
    alike = [index for index, bar in enumerate(names) if _COUNT.sub("", bar.whole).casefold() == said]
    if alike and alike[-1] - alike[0] == len(alike) - 1:
        return alike[0], alike[-1]
    if alike:
        which = dict.fromkeys(f"bar {names[index].whole}" for index in alike)
        raise ContentError(f"there are {len(which)} bars {name}", f"write {' or '.join(which)}")
    what = "the score has no upbeat" if said == UPBEAT else f"the score has no bar {name}"
    if not names:
        raise ContentError(what, "it has no bars")
    remedy = f"its bars are {names[0].whole} to {names[-1].whole}"
    near = _nearest(names, name)
    raise ContentError(what, f"{remedy}, and the nearest {near}" if near else remedy)


def _nearest(names: Sequence[BarName], name: str) -> str:
    """``are 12a and 12b``: the bars that have the figures of ``name``, or those next to it; none beyond the ends."""
    figures = _FIGURES.search(name)
    known = [(int(found[0]), bar.whole) for bar in names if (found := _FIGURES.search(bar.whole))]
    if figures is None or not known:
        return ""
    wanted = int(figures[0])
    near = dict.fromkeys(whole for number, whole in known if number == wanted)
    if not near:
        below = [(number, whole) for number, whole in known if number < wanted]
        above = [(number, whole) for number, whole in known if number > wanted]
        if not below or not above:
            return ""
        near = dict.fromkeys((max(below)[1], min(above)[1]))
    return f"{'is' if len(near) == 1 else 'are'} {' and '.join(list(near)[:3])}"
