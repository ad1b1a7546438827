"""The blocks of code of a Markdown document, in order, each with what a test is told about it.

A test is told by comments, which no reader sees: ``<!-- test: WORD REST -->`` before a block is about that block, and
``<!-- test: run COMMAND -->`` alone is done where it stands. ``rules.py`` has the words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

#: A fence (of a list too), what is in it and its end; or a comment for the test.
_PIECE = re.compile(
    r"^(?P<indent>[ ]*)(?P<fence>```+|~~~+)(?P<language>[^\n]*)\n(?P<text>.*?)^(?P=indent)(?P=fence)[ ]*$"
    r"|<!--[ ]*test:[ ]*(?P<note>.*?)[ ]*-->",
    re.M | re.S,
)
_SPAN = re.compile(r"(?<!`)(`+)(?!`)(.+?)(?<!`)\1(?!`)", re.S)


@dataclass(frozen=True, slots=True)
class Note:
    """What a test is told: ``word`` is the name of a rule, ``rest`` what it is given."""

    word: str
    rest: str
    line: int


@dataclass(frozen=True, slots=True)
class Block:
    """A block of code: ``line`` is that of its fence, ``notes`` are about it alone."""

    language: str
    text: str
    line: int
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Span:
    """Code within a sentence."""

    text: str
    line: int


def parts_of(document: Path) -> Iterator[Note | Block]:
    """The blocks of ``document``, and between them the notes that stand alone, in order."""
    text = document.read_text(encoding="utf-8")
    waiting: list[Note] = []
    end = 0
    for found in _PIECE.finditer(text):
        line = text.count("\n", 0, found.start()) + 1
        if waiting and text[end : found.start()].strip():  # words stand between: the notes are not about this one
            yield from waiting
            waiting = []
        end = found.end()
        if found["note"] is not None:
            word, _, rest = found["note"].partition(" ")
            waiting.append(Note(word, rest.strip(), line))
            continue
        indent = len(found["indent"])
        inside = "".join(row[indent:] if row.strip() else "\n" for row in found["text"].splitlines(keepends=True))
        yield Block(found["language"].strip(), inside, line, tuple(waiting))
        waiting = []
    yield from waiting


def blocks_of(document: Path) -> list[Block]:
    """The blocks of ``document`` alone."""
    return [part for part in parts_of(document) if isinstance(part, Block)]


def spans_of(document: Path) -> Iterator[Span]:
    """The code within the sentences of ``document``."""
    text = document.read_text(encoding="utf-8")
    words = _PIECE.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), text)
    for found in _SPAN.finditer(words):
        yield Span(" ".join(found[2].split()), words.count("\n", 0, found.start()) + 1)
