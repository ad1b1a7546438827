"""Checking the content without building: everything that can be at fault, and what is worth knowing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sitegen.building.cache import Cache
from sitegen.building.faults import fault_of, warnings_of
from sitegen.building.paging import plan_of
from sitegen.building.preparing import understand
from sitegen.building.telling import teller_of
from sitegen.errors import SitegenError, each_fault
from sitegen.library import load_library
from sitegen.reduction import not_rising


@dataclass(frozen=True, slots=True)
class Report:
    """Faults stop a piece from being published; remarks do not."""

    pieces: int
    faults: tuple[SitegenError, ...]
    remarks: tuple[str, ...]


def check_content(content: Path, cache: Cache, progress: Callable[[str, int, int], None]) -> Report:
    """Read, analyse and reduce every piece of ``content``; nothing is engraved or written."""
    library = load_library(content)
    teller = teller_of(library.studio)
    faults: list[SitegenError] = list(library.faults)
    remarks: list[str] = []
    for done, piece in enumerate(library.pieces, 1):
        progress(piece.slug, done, len(library.pieces))
        if piece.bare:
            remarks.append(f"{piece.file}: has no piece.md; it is published with what the score says of itself")
        try:
            understood = understand(piece, piece.matter.hand or library.studio.hand, cache, teller)
            plan_of(piece, understood, teller)
        except Exception as error:
            faults += each_fault(fault_of(error, piece))
            continue
        remarks += warnings_of(understood.score, piece)
        remarks += [
            f"{piece.file}: stage '{second.title}' ({second.difficulty.value:.2f}) is not more difficult than "
            f"'{first.title}' ({first.difficulty.value:.2f}) before it"
            for first, second in not_rising(understood.stages)
        ]
    return Report(len(library.pieces), tuple(faults), tuple(remarks))
