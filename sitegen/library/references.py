"""What a commentary refers to, and what of it cannot be published: read from its HTML before that is made safe.

Each finding has the line of the commentary on which it stands, counted from the first line of its file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from html.parser import HTMLParser
from typing import Literal
from urllib.parse import unquote

from sitegen.errors import ContentError
from sitegen.library.commentary import ATTRIBUTES, SCHEMES, TAGS, to_raw_html

ReferenceKind = Literal["link", "picture"]
_OF_THE_WEB = ("http", "https", "mailto")
_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*(?=:)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Reference:
    """A link or a picture: where it leads, its words (a picture's alternative text), and its line."""

    kind: ReferenceKind
    target: str
    words: str
    line: int

    @property
    def scheme(self) -> str:
        """``https``, ``bars`` ...; empty for a path."""
        found = _SCHEME.match(self.target)
        return found[0].lower() if found else ""

    @property
    def path(self) -> str:
        """The path that it names, without what stands behind ``#`` or ``?``; empty for an address with a scheme."""
        return "" if self.scheme or self.target.startswith("//") else unquote(re.split(r"[?#]", self.target)[0])


@dataclass(frozen=True, slots=True)
class TakenOut:
    """Something that is not published: an element, an attribute or an address that could do harm."""

    what: str
    line: int


@dataclass(slots=True)
class _Reader(HTMLParser):
    """Gathers references and what will be taken out, in the order of the text."""

    lines: _Lines
    references: list[Reference] = field(default_factory=list)
    taken_out: list[TakenOut] = field(default_factory=list)

    def __post_init__(self) -> None:
        HTMLParser.__init__(self)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.taken_out.append(TakenOut(f"<{tag}>", self.lines.of(f"<{tag}")))
            return
        given = {name: value or "" for name, value in attrs}
        for name in given.keys() - ATTRIBUTES.get(tag, set()):
            self.taken_out.append(TakenOut(f"{name}= of <{tag}>", self.lines.of(name)))
        target = given.get("href" if tag == "a" else "src", "")
        if tag in ("a", "img") and target:
            line = self.lines.of(target)
            reference = Reference("link" if tag == "a" else "picture", target, given.get("alt", ""), line)
            elsewhere = reference.kind == "picture" and (target.startswith("//") or reference.scheme in _OF_THE_WEB)
            if elsewhere:
                self.taken_out.append(TakenOut(f"the picture of another site '{target}'", line))
            elif reference.scheme in SCHEMES or not reference.scheme or _is_like_ours(reference.scheme):
                self.references.append(reference)
            else:
                self.taken_out.append(TakenOut(f"the address '{target}'", line))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)

    def handle_comment(self, data: str) -> None:
        del data  # a comment is meant for nobody who reads the page


@dataclass(slots=True)
class _Lines:
    """Finds the lines of pieces of text that come one after the other."""

    text: str
    first_line: int
    place: int = 0

    def of(self, part: str) -> int:
        """The line of the next ``part``; that of the last find where it is written in another way."""
        for spelling in (part, unquote(part), part.replace("&", "&amp;")):
            found = self.text.find(spelling, self.place)
            if found < 0:
                found = self.text.find(spelling)
            if found >= 0:
                self.place = found
                break
        return self.first_line + self.text.count("\n", 0, self.place)


def _is_like_ours(scheme: str) -> bool:
    """Whether a scheme was meant for music or for a piece: to be told as misspelt, not as harmful."""
    return scheme in {"bar", "bars", "piece", "pieces", "takt", "takte", "measure", "measures", "stage"}


@lru_cache(maxsize=64)
def read_references(commentary: str, first_line: int) -> tuple[tuple[Reference, ...], tuple[TakenOut, ...]]:
    """The references of a commentary that begins on ``first_line``, and what of it will be taken out.

    Raises ``ContentError`` for a commentary that cannot be turned into HTML, with its line in the file and no file.
    """
    try:
        html = to_raw_html(commentary)
    except ContentError as error:
        raise ContentError(error.what, error.remedy, line=first_line + (error.line or 1) - 1) from error
    reader = _Reader(_Lines(commentary, first_line))
    reader.feed(html)
    reader.close()
    return tuple(reader.references), tuple(_once(reader.taken_out))


def _once(found: list[TakenOut]) -> Iterator[TakenOut]:
    yield from dict.fromkeys(found)
