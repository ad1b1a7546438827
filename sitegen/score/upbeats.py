"""The upbeat is bar 0, also where a notation editor has counted it as bar 1.

Bars are numbered from the first full one (Gould, *Behind Bars*, 2011, "Bar numbers"). Some editors number an upbeat 1
all the same; then every bar is told one too high. The numbers are changed in the source, so that the drawing, the
analysis and the teacher's addresses count alike.
"""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element

_COUNTED = re.compile(r"0*[1-9][0-9]{0,8}")


def number_upbeat(root: Element) -> None:
    """Lower the bar numbers of a partwise MusicXML tree by one where the first bar is an upbeat and is numbered 1."""
    part = root.find("part")
    first = part.find("measure") if part is not None else None
    if first is None or first.get("number") != "1" or not _is_short(first):
        return
    for measure in root.iter("measure"):
        number = measure.get("number") or ""
        if _COUNTED.fullmatch(number):
            measure.set("number", str(int(number) - 1))


def _is_short(measure: Element) -> bool:
    """Whether a bar holds less than its time signature says."""
    divisions, beats, unit = (
        _number(measure.findtext(path))
        for path in ("attributes/divisions", "attributes/time/beats", "attributes/time/beat-type")
    )
    if not (divisions and beats and unit):
        return False
    at = reached = 0
    for element in measure:
        length = _number(element.findtext("duration"))
        if element.tag == "backup":
            at -= length
        elif element.tag in ("note", "forward") and element.find("chord") is None:
            at += length
        reached = max(reached, at)
    return 0 < Fraction(reached, divisions) < Fraction(4 * beats, unit)


def _number(text: str | None) -> int:
    """A whole number, or 0 for anything else."""
    text = (text or "").strip()
    return int(text) if _COUNTED.fullmatch(text) else 0
