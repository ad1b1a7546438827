"""What a score file says of who may do what with it: the lines themselves, as they stand in the file."""

from __future__ import annotations

import re
from html import unescape

from sitegen.score.sources import Source

_IN_XML = re.compile(
    r"<(rights|useRestrict|availability|copyright)\b[^>]*>(?P<inside>.*?)</\1>|"
    r"<credit-words\b[^>]*>(?P<credit>[^<]*(?:©|\(c\)|copyright|public domain|creative commons)[^<]*)</credit-words>",
    re.IGNORECASE | re.DOTALL,
)
_IN_HUMDRUM = re.compile(r"^!!!(?:YEC|YEM|YER|copyright)[^:\n]*:(.*)$", re.MULTILINE | re.IGNORECASE)


def rights_of(source: Source) -> tuple[str, ...]:
    """The rights and licence lines of a score, each once; none where it says nothing."""
    if source.kind == "humdrum":
        lines = _IN_HUMDRUM.findall(source.text)
    else:
        found = _IN_XML.finditer(source.text)
        lines = [re.sub(r"<[^>]*>", " ", match["inside"] or match["credit"] or "") for match in found]
    return tuple(dict.fromkeys(text for line in lines if (text := " ".join(unescape(line).split()))))
