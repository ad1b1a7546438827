"""What the content folder holds, checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sitegen.errors import ContentError
from sitegen.library.assigning import Assigned
from sitegen.library.collections import Collected
from sitegen.library.matter import PieceMatter, StudioMatter
from sitegen.library.own_pages import OwnPages
from sitegen.library.wording import Worded


@dataclass(frozen=True, slots=True)
class Lined:
    """A part of the front matter that another step reads, with the line it stands on."""

    value: Any
    line: int


@dataclass(frozen=True, slots=True)
class Origin:
    """The library of others that a piece comes from: its name, with which the piece's slug begins, and who is to be
    named."""

    name: str
    credit: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as its teacher wrote it. ``file`` is ``piece.md``, or the score itself where there is none.

    ``commentary`` is Markdown and begins on ``commentary_line``. ``stages`` and ``adjustments`` are the teacher's
    wishes, unread; ``practise_lines`` the lines that the plan stands on, ``lines`` those of all fields by name. A piece
    of a library that is joined to the studio's has an ``origin``.
    Where a field is ``at_fault`` the piece holds the others: they are looked at, and nothing is published. ``place`` is
    the folder of its pages below the site's root (with a slash at its end), empty for the one that all pieces have.
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
    at_fault: bool = False
    lines: Mapping[str, int] = field(default_factory=dict)
    place: str = ""
    origin: Origin | None = None

    @property
    def folder(self) -> Path:
        return self.file.parent


@dataclass(frozen=True, slots=True)
class AtPlace:
    """What lies at one place of the content folder: its pieces (mostly one), and what was found in reading them."""

    pieces: tuple[Piece, ...]
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


@dataclass(frozen=True, slots=True)
class Library:
    """The studio with its pieces, in the order of their slugs. ``faults`` keep what they are about from being
    published; ``warnings`` do not. ``studio_lines`` holds the line of each field of ``studio.yaml``, ``meant`` the
    names of the folders that hold a ``piece.md``, readable or not, ``places`` what lies where. ``joined`` are the
    places of other libraries by name, ``unread`` the beginnings of the slugs of those that cannot be read, ``assigned``
    what is set for whom, ``collected`` what the folder of collections holds, ``worded`` the studio's own words,
    ``own`` what the folder of pages holds."""

    root: Path
    studio: StudioMatter
    pieces: tuple[Piece, ...]
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()
    studio_lines: Mapping[str, int] = field(default_factory=dict)
    meant: frozenset[str] = frozenset()
    places: Mapping[str, AtPlace] = field(default_factory=dict)
    assigned: Assigned = Assigned()
    joined: Mapping[str, Path] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()
    collected: Collected = field(default_factory=Collected)
    worded: Worded = field(default_factory=Worded)
    own: OwnPages = field(default_factory=OwnPages)

    @property
    def slugs(self) -> frozenset[str]:
        """The names of all pieces in addresses, of those too that cannot be read now: a link to one is no fault, and
        its last good pages stay."""
        return frozenset(piece.slug for piece in self.pieces) | self.meant
