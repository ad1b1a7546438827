"""Places in addresses: of the page (``#bar-41``, ``#bars-5-8``), and of links in the commentary.

A link names bars and where wished a stage: ``bars:5-8``, ``bar:4``, ``bars:5-8/bass-line``, ``bars:5-8/Bass line``.
All numbers are the printed ones.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote

from sitegen.errors import ContentError
from sitegen.places.nouns import Place
from sitegen.places.parsing import parse_bars

_LINK = re.compile(r"bars?:(?P<bars>[^/]*)(?:/(?P<stage>.*))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class MusicLink:
    """What a link in the commentary names: bars, and a stage as the teacher calls it (empty: whichever is open)."""

    bars: Place
    stage: str = ""


def parse_link(link: str) -> MusicLink:
    """What ``bars:5-8/bass-line`` names. Raises ``ContentError`` for a link of another form."""
    found = _LINK.fullmatch(unquote(link).strip())
    try:
        if found is None:
            raise ContentError(f"'{link}' names no bars")
        return MusicLink(parse_bars(found["bars"].strip()), (found["stage"] or "").strip())
    except ContentError:
        remedy = "write bars:5-8, bar:4, or bars:5-8/bass-line for a stage"
        raise ContentError(f"'{link}' names no bars", remedy) from None


def fragment_of(first: str, last: str) -> str:
    """The end of a page's address that opens it at bars of these names: ``#bar-41``, ``#bars-5-8``."""
    names = [quote(name.casefold().replace(" (", ".").removesuffix(")")) for name in (first, last)]
    return f"#bar-{names[0]}" if first == last else f"#bars-{names[0]}-{names[1]}"
