"""What numbers in a file must look like, checked before an importer meets them.

An importer written in C++ may end the whole process on a number it cannot read. So every number is looked at first.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element

from sitegen.errors import ScoreError

_INTEGER = r"[+-]?\d{1,6}"
COUNT = r"[1-9]\d{0,2}"
_DECIMAL = r"[+-]?\d{1,6}(\.\d*)?"
_MEASURE = rf"{_DECIMAL}(vu|mm|cm|in|pt|pc|px)?"
_UNIT = r"1|2|4|8|16|32|64|128"

# MusicXML: what the text of an element must be
MUSICXML_NUMBERS = {
    "divisions": r"[1-9]\d{0,6}", "duration": r"[+-]?\d{1,9}(\.\d*)?", "beats": r"[1-9]\d?(\s*\+\s*[1-9]\d?)*",
    "beat-type": _UNIT, "fifths": r"[+-]?[0-7]", "staves": r"[1-9]", "staff": r"[1-9]", "step": r"[A-G]",
    "alter": r"[+-]?[0-3](\.0*)?", "octave": r"\d", "actual-notes": COUNT, "normal-notes": COUNT,
    "multiple-rest": r"[1-9]\d{0,3}", "clef-octave-change": r"[+-]?[0-4]",
}  # fmt: skip

# MEI: what the value of an attribute must be
MEI_NUMBERS = {
    **dict.fromkeys(
        ("oct", "oct.ges", "oct.default", "pnum", "loc", "oloc", "line", "lines", "clef.line", "ppq", "dur.ppq",
         "trans.diat", "trans.semi", "vel", "val", "val2", "vgrp", "tab.fret", "tab.course", "tab.line", "beams",
         "beams.float", "breaksec", "spacing.packexp", "spacing.packfact", "layer", "proport.num", "proport.numbase",
         "midi.channel", "midi.volume", "midi.pan"), _INTEGER),
    **dict.fromkeys(("num", "numbase", "num.default", "numbase.default"), COUNT),
    **dict.fromkeys(("dots", "dots.ges", "mm.dots"), r"[0-4]"),
    **dict.fromkeys(("unit", "meter.unit"), _UNIT),
    **dict.fromkeys(("tstamp", "mm", "midi.bpm", "midi.mspb"), _DECIMAL),
    **dict.fromkeys(("ho", "vo", "startho", "startvo", "endho", "endvo", "opening", "stem.len", "stem.x", "stem.y",
                     "width", "lwidth", "system.leftmar", "system.rightmar", "system.topmar", "spacing.staff",
                     "spacing.system"), _MEASURE),
    "dur": r"maxima|long|breve|1|2|4|8|16|32|64|128|256|512|1024|2048",
    "tstamp2": r"(\d{1,4}m\s*\+\s*)?\d{1,6}(\.\d*)?",
}  # fmt: skip


def check_musicxml(root: Element, file: str) -> None:
    """Raise ``ScoreError`` where it is not partwise MusicXML. Its numbers are mended (``mending.py``)."""
    if root.tag == "score-timewise":
        raise ScoreError("is timewise MusicXML", "Export it as partwise, as notation editors do.", file)
    if root.tag != "score-partwise":
        name = root.tag.split("}")[-1]
        raise ScoreError(f"is not a score: its outermost element is <{name}>", "Export MusicXML or MEI.", file)
