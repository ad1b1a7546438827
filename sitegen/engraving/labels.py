"""Names of parts before the first system and all others: left out where there is one instrument only.

They tell nothing then, and take a fifth of a phone's width. Where a score names several, they stay.
"""

from __future__ import annotations

import re

from sitegen.engraving.nouns import Notation

_MUSICXML = re.compile(r"<(part-(?:name|abbreviation)(?:-display)?)\b(?:[^>]*/>|.*?</\1>)", re.S)
_MEI_BLOCK = re.compile(r"<scoreDef\b.*?</scoreDef>", re.S)
_MEI_ELEMENT = re.compile(r"<(label|labelAbbr)\b[^>]*?(?:/>|>(.*?)</\1>)", re.S)
_MEI_ATTRIBUTE = re.compile(r'(?<=\s)(label|label\.abbr)="([^"]*)"')
_HUMDRUM = re.compile(r"""(?m)(?<![^\t\n])\*I(["'])([^\t\n]*)""")
_TAGS = re.compile(r"<[^>]*>|\s+")


def without_lone_label(text: str, notation: Notation) -> str:
    """``text`` without its part's name, where all parts have the same or there is one; lines and ids stay."""
    if notation == "musicxml":
        return _from_musicxml(text)
    if notation == "mei":
        return _MEI_BLOCK.sub(lambda block: _from_score_def(block[0]), text)
    names = {match[2] for match in _HUMDRUM.finditer(text) if match[1] == '"'}
    return _HUMDRUM.sub("*", text) if len(names) <= 1 else text


def _from_musicxml(text: str) -> str:
    if len(re.findall(r"<score-part\b", text)) > 1:
        return text
    return _MUSICXML.sub(r'<\1 print-object="no"/>', text)


def _from_score_def(block: str) -> str:
    names = {_TAGS.sub("", match[2] or "") for match in _MEI_ELEMENT.finditer(block) if match[1] == "label"}
    names |= {match[2] for match in _MEI_ATTRIBUTE.finditer(block) if match[1] == "label"}
    if len(names - {""}) > 1:
        return block
    return _MEI_ATTRIBUTE.sub("", _MEI_ELEMENT.sub("", block))
