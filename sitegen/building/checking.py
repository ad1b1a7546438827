"""Checking the content without building: everything that can be at fault, and what is worth knowing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sitegen.building.cache import Cache
from sitegen.building.examining import examine
from sitegen.building.telling import teller_of
from sitegen.checking import Finding, check_library
from sitegen.library import load_library


@dataclass(frozen=True, slots=True)
class Report:
    """How many pieces were looked at, and everything that was found."""

    pieces: int
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps a piece from being published."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def check_content(content: Path, cache: Cache, progress: Callable[[str, int, int], None]) -> Report:
    """Read, analyse and reduce every piece of ``content``; nothing is engraved or written."""
    library = load_library(content)
    teller = teller_of(library.studio)
    found = list(check_library(library))
    for done, piece in enumerate(library.pieces, 1):
        progress(piece.slug, done, len(library.pieces))
        found += examine(piece, library.studio, library.slugs, cache, teller).findings
    return Report(len(library.pieces), tuple(found))
