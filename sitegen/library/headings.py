"""The headings of a text, each with a name by which a link can lead to it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from html import unescape

from sitegen.library.slugs import slug_of

_HEADING = re.compile(r"<h([23])>(.*?)</h\1>", re.S)
_TAG = re.compile(r"<[^>]*>")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of the second or the third level: its words as HTML, and its name in addresses."""

    level: int
    words: str
    name: str


def with_headings(html: str) -> tuple[str, tuple[Heading, ...]]:
    """``html`` in which each heading can be led to, and what they are. Of two with the same words the second is called
    ``words-2``."""
    found: list[Heading] = []
    taken: Counter[str] = Counter()

    def named(match: re.Match[str]) -> str:
        name = slug_of(unescape(_TAG.sub("", match[2])))
        taken[name] += 1
        heading = Heading(int(match[1]), match[2], name if taken[name] == 1 else f"{name}-{taken[name]}")
        found.append(heading)
        return f'<h{match[1]} id="{heading.name}">{match[2]}</h{match[1]}>'

    return _HEADING.sub(named, html), tuple(found)
