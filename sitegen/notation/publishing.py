"""MusicXML as it is handed out: what another program reads of it, and not how one page of one program was laid out."""

from __future__ import annotations

import re

_PAGE_LAYOUT = re.compile(r"<!--.*?-->|<(defaults|print)\b(?:[^>]*/>|.*?</\1>)", re.S)
_PLACES = re.compile(r' (?:default|relative)-[xy]="[^"]*"')
_MEASURE_WIDTH = re.compile(r'(<measure\b[^>]*?) width="[^"]*"')
_BETWEEN_TAGS = re.compile(r"(?<=>)\s*\n\s*(?=<)")


def without_page_layout(text: str) -> str:
    """``text`` without comments, page sizes, breaks, distances and indentation: every program sets these itself (the
    elements ``defaults`` and ``print``, and positions in tenths, of MusicXML 4.0)."""
    text = _MEASURE_WIDTH.sub(r"\1", _PLACES.sub("", _PAGE_LAYOUT.sub("", text)))
    return _BETWEEN_TAGS.sub("", text).replace(" />", "/>")
