"""Whether a piece says under what licence it is published, and whether its score says the same."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sitegen.checking.cases import Case, WrittenPiece
from sitegen.checking.nouns import Finding
from sitegen.library import Piece, StudioMatter
from sitegen.library.licences import NOT_STATED, is_known, licence_of, meant_by

_CREATIVE_COMMONS = re.compile(
    r"(?:cc|creative commons|creativecommons\.org/licenses/)[ -]?(by|attribution)(?:[ -]?(nc|noncommercial))?"
    r"(?:[ -]?(sa|sharealike|share alike|nd|noderiv\w*))?",
    re.IGNORECASE,
)
NEEDED = ("composer", "composer_died", "source", "encoder")
"""The fields that a piece needs beside its licence, where rights are required."""
_FREE = re.compile(r"cc[ -]?0|public domain|creativecommons\.org/publicdomain|no rights reserved", re.IGNORECASE)
_RESERVED = re.compile(r"all rights reserved|©|\(c\)|copyright", re.IGNORECASE)


def no_licence(draft: WrittenPiece) -> Iterator[Finding]:
    """A piece that does not say under what licence it may be used."""
    piece = draft.piece
    if piece.matter.licence == NOT_STATED and not piece.bare:
        remedy = (
            "Write 'licence: CC0-1.0', or what holds for score and words; whether it may be published, local law says."
        )
        yield draft.warning("field 'licence' is missing", remedy, line=piece.lines.get("licence", 1))


def unknown_licence(draft: WrittenPiece) -> Iterator[Finding]:
    """A licence that is said in other words than its SPDX identifier: programs, and other people, know it by that."""
    said = draft.piece.matter.licence
    if said == NOT_STATED or is_known(said):
        return
    near = meant_by(said)
    remedy = f"Perhaps {' or '.join(near)}." if near else "See https://spdx.org/licenses/, or write LicenseRef-..."
    line = draft.piece.lines.get("licence", 1)
    yield draft.warning(f"field 'licence' is no SPDX identifier: '{_short(said)}'", remedy, line)


def no_adaptations(draft: WrittenPiece) -> Iterator[Finding]:
    """A licence that allows copies and no adaptations, which stages are."""
    licence = licence_of(draft.piece.matter.licence)
    if licence is not None and not licence.adapted:
        what = f"the licence {licence.id} allows no adaptations, and stages are such; their files are not offered"
        remedy = "Ask who holds the rights before you publish them."
        yield draft.warning(what, remedy, draft.piece.lines.get("licence", 1))


def rights_that_are_needed(draft: WrittenPiece) -> Iterator[Finding]:
    """A piece that does not say whose it is and where it comes from, where the studio wants that: unless it says
    otherwise of the pieces of other libraries, and of its own where its site has an address, so is for everybody."""
    if lacking := lacking_rights(draft.piece, draft.studio):
        what = f"is not published without {', '.join(lacking)}"
        remedy = "Write it into the fields, or 'rights: optional' into studio.yaml where you answer for it."
        yield draft.error(what, remedy, 1)


def lacking_rights(piece: Piece, studio: StudioMatter) -> tuple[str, ...]:
    """The fields for want of which a piece is not published."""
    if studio.rights == "optional" or (studio.rights is None and piece.origin is None and not studio.address):
        return ()
    matter = piece.matter
    lacking = [name for name in NEEDED if not getattr(matter, name)]
    lacking += ["editor_died"] if matter.editor and not matter.editor_died else []
    lacking += [] if is_known(matter.licence) else ["licence"]
    return tuple(lacking)


def rights_in_the_score(case: Case) -> Iterator[Finding]:
    """A score whose rights line names another licence than ``piece.md``, or reserves what that gives away."""
    piece = case.draft.piece
    said = _kind_of(piece.matter.licence)
    if said is None:
        return
    for line in case.rights:
        kind = _kind_of(line)
        if kind is not None and kind != said:
            what = f"the score says '{_short(line)}', and field 'licence' says '{piece.matter.licence}'"
            remedy = "Make sure which holds, and make both say it; the law of your country decides, not this program."
            yield case.draft.warning(what, remedy, line=piece.lines.get("licence", 1))


def _kind_of(text: str) -> str | None:
    """The kind of licence that a text names; None where it names none that is known."""
    if _FREE.search(text):
        return "free"
    if found := _CREATIVE_COMMONS.search(text):
        parts = ["by", "nc" if found[2] else "", (found[3] or "")[:2].lower().replace("sh", "sa").replace("no", "nd")]
        return "-".join(part for part in parts if part)
    return "reserved" if _RESERVED.search(text) else None


def _short(line: str) -> str:
    return line if len(line) <= 80 else f"{line[:77]}..."
