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

_PERCENT = r"[+-]?\d{1,3}(\.\d*)?%"
_NAME = r"[\w.:-]{1,64}"

# MEI: what the value of an attribute must be (the guidelines' data types, of versions 3 to 5)
MEI_NUMBERS = {
    **dict.fromkeys(
        ("oct", "oct.ges", "oct.default", "pnum", "loc", "oloc", "line", "lines", "clef.line",
         "vgrp", "tab.course", "tab.line", "beams", "breaksec", "proport.num", "proport.numbase",
         "midi.channel", "midi.port", "midi.track"), _INTEGER),
    **dict.fromkeys(("ppq", "dur.ppq", "trans.diat", "trans.semi", "beams.float", "spacing.packexp",
                     "spacing.packfact"), _DECIMAL),
    **dict.fromkeys(("vel", "val", "val2", "midi.volume", "midi.pan"), rf"{_INTEGER}|{_PERCENT}|{_NAME}"),
    "tab.fret": rf"{_INTEGER}|inf|n/a|o|x", "layer": r"\d{1,6}(\s+\d{1,6})*",
    **dict.fromkeys(("num", "numbase", "num.default", "numbase.default"), COUNT),
    **dict.fromkeys(("dots", "dots.ges", "mm.dots"), r"[0-4]"),
    **dict.fromkeys(("unit", "meter.unit"), rf"({_UNIT})(\.0*)?"),
    **dict.fromkeys(("tstamp", "mm", "midi.bpm", "midi.mspb"), _DECIMAL),
    **dict.fromkeys(("ho", "vo", "startho", "startvo", "endho", "endvo", "opening", "stem.len", "stem.x", "stem.y",
                     "system.leftmar", "system.rightmar", "system.topmar", "spacing.staff", "spacing.system"),
                    _MEASURE),
    **dict.fromkeys(("width", "lwidth"), rf"{_MEASURE}|{_PERCENT}|narrow|medium|wide"),
    **dict.fromkeys(("key.sig", "keysig", "sig"), r"mixed|0|([1-9]|1[0-2])[sfn]?"),
    **dict.fromkeys(("meter.count", "count"), r"[1-9]\d?(\.0*)?(\s*\+\s*[1-9]\d?){0,8}"),
    "dur": r"maxima|long|breve|1|2|4|8|16|32|64|128|256|512|1024|2048"
           r"|longa|brevis|semibrevis|minima|semiminima|fusa|semifusa",
    "mm.unit": r"maxima|long|breve|1|2|4|8|16|32|64|128|256|512|1024|2048",
    **dict.fromkeys(("tstamp2",), r"[+-]?(\d{1,4}m\s*\+\s*)?\d{1,6}(\.\d*)?"),
}  # fmt: skip


def check_musicxml(root: Element, file: str) -> None:
    """Raise ``ScoreError`` where it is not partwise MusicXML. Its numbers are mended (``mending.py``)."""
    if root.tag == "score-timewise":
        raise ScoreError("is timewise MusicXML", "Export it as partwise, as notation editors do.", file)
    if root.tag != "score-partwise":
        name = root.tag.split("}")[-1]
        raise ScoreError(f"is not a score: its outermost element is <{name}>", "Export MusicXML or MEI.", file)
