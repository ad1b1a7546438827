"""Checking the content without building: everything that can be at fault, and what is worth knowing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from sitegen.apart import USUAL, Limits
from sitegen.building.asking import Studio
from sitegen.building.assignments import Desk
from sitegen.building.driving import Code, Driver
from sitegen.building.engines import Engine
from sitegen.building.engines.in_process import InProcess
from sitegen.building.joining import load_with_joined
from sitegen.building.looking import Looked, idle_wishes, look_at
from sitegen.building.progress import Tell
from sitegen.building.scheduling import Plan
from sitegen.building.set_work import set_work
from sitegen.building.store import Store
from sitegen.building.studios import studio_of
from sitegen.checking import Finding
from sitegen.checking.validations import check_library
from sitegen.checking.words import lacking_words, own_words
from sitegen.library import Piece


@dataclass(frozen=True, slots=True)
class Report:
    """How many pieces were looked at, and everything that was found."""

    pieces: int
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps a piece from being published."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def check_content(
    content: Path, store: Store, tell: Tell, engine: Engine | None = None, limits: Limits = USUAL
) -> Report:
    """Read, analyse and reduce every piece of ``content``, its steps run by ``engine``, without one in this process;
    nothing is engraved or written."""
    library = load_with_joined(content, store)
    own = own_words(library.studio, library.worded)
    studio = studio_of(library.studio, library.slugs, store, limits, own=own)
    engine, code = engine or InProcess(store), Code(store)
    driver = Driver(engine, studio, code)
    found = {piece.slug: looked.findings for piece, looked in driver.drive(library.pieces, examine, tell)}
    told = [finding for slug in sorted(found) for finding in found[slug]]
    of_library = check_library(library)
    # a piece at fault in a field of its own is told with the library's
    at_fault = {finding.piece for finding in told if finding.severity == "error"}
    sound = {p.slug: p for p in library.pieces if p.slug not in at_fault and not p.at_fault}
    set_ones = set_work(library, Desk(studio, library.assigned.secret, sound), engine, code, of_library, False)
    told += (finding for one in set_ones for finding in one.findings)
    return Report(len(library.pieces), (*of_library, *lacking_words(library), *told))


def examine(piece: Piece, studio: Studio) -> Plan:
    """Everything that can be said of ``piece``, as ``Looked``."""
    looked: Looked = yield from look_at(piece, studio)
    idle = yield from idle_wishes(piece, studio, looked)
    return replace(looked, findings=(*looked.findings, *idle))
