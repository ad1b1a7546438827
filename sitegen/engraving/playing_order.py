"""The bars of a text as verovio holds them, and the order in which they are played.

Both are read from the tags of its MEI, one after the other: a tree of all its notes would take longer to make than
the piece to play.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_TAG = re.compile(r"<(?P<end>/?)(?P<name>measure|section|ending|expansion)\b(?P<attributes>[^>]*)>")
_ID = re.compile(r'xml:id="([^"]+)"')
_PLIST = re.compile(r'plist="([^"]*)"')


@dataclass(frozen=True, slots=True)
class PlayedBars:
    """``indexes`` is the index of every bar by its id in this load; ``played`` the bars in the order in which they are
    played, each as id and index: as an expansion lists the sections, else as they stand."""

    indexes: dict[str, int]
    played: tuple[tuple[str, int], ...]


@dataclass(slots=True)
class _Part:
    """A section or an ending, with the ids of the bars that stand in it, and not in one within it."""

    name: str
    bars: list[str] = field(default_factory=list)


def bars_of(mei: str) -> PlayedBars:
    """The bars of an MEI document of verovio's, which gives each an id."""
    indexes: dict[str, int] = {}
    parts: dict[str, _Part] = {}
    open_parts: list[_Part] = []
    wanted: list[str] | None = None
    for tag in _TAG.finditer(mei, max(0, mei.find("<body"))):
        attributes = tag["attributes"]
        found = _ID.search(attributes)
        name = found[1] if found else ""
        if tag["name"] == "measure":
            if name:
                indexes[name] = len(indexes)
                if open_parts:
                    open_parts[-1].bars.append(name)
        elif tag["name"] == "expansion":
            if wanted is None and not tag["end"]:
                listed = _PLIST.search(attributes)
                wanted = [part.lstrip("#") for part in listed[1].split()] if listed else []
        elif tag["end"]:
            open_parts.pop()
        elif not attributes.endswith("/"):
            open_parts.append(parts.setdefault(name, _Part(name)))
    if wanted is None:
        return PlayedBars(indexes, tuple(indexes.items()))
    played = (name for part in wanted if part in parts for name in parts[part].bars)
    return PlayedBars(indexes, tuple((name, indexes[name]) for name in played))
