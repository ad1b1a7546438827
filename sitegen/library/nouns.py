"""What the content folder holds, checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sitegen.errors import ContentError
from sitegen.library.matter import PieceMatter, StudioMatter


@dataclass(frozen=True, slots=True)
class Lined:
    """A part of the front matter that another step reads, with the line it stands on."""

    value: Any
    line: int


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as its teacher wrote it. ``file`` is ``piece.md``, or the score itself where there is none.

    ``commentary`` is Markdown and begins on ``commentary_line``. ``stages`` and ``adjustments`` are the teacher's
    wishes, unread; ``practise_lines`` the lines that the plan stands on.
    """

    slug: str
    file: Path
    score: Path
    matter: PieceMatter
    commentary: str = ""
    commentary_line: int = 1
    stages: tuple[Lined, ...] = ()
    adjustments: tuple[Lined, ...] = ()
    practise_lines: tuple[int, ...] = ()
    bare: bool = False

    @property
    def folder(self) -> Path:
        return self.file.parent


@dataclass(frozen=True, slots=True)
class Library:
    """The studio with its pieces, in the order of their slugs, and everything that is at fault."""

    root: Path
    studio: StudioMatter
    pieces: tuple[Piece, ...]
    faults: tuple[ContentError, ...] = field(default=())
