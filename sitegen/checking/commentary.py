"""Whether what a commentary refers to is there: bars and stages, other pieces, pictures and files; and what of it the
page cannot show."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from urllib.parse import unquote

from sitegen.checking.cases import Case, WrittenPiece
from sitegen.checking.nouns import Finding
from sitegen.errors import ContentError
from sitegen.library.attachments import attachments_of, leads_out
from sitegen.library.links import piece_meant, piece_named
from sitegen.library.references import Reference, read_references
from sitegen.places.addresses import parse_link
from sitegen.places.bars import find_bars
from sitegen.places.naming import name_bars
from sitegen.places.stages import find_stage

MUSIC = ("bars", "bar")
_BARS_ELSEWHERE = frozenset({"takt", "takte", "measure", "measures", "m", "mm", "stage"})
_BARE_BARS = re.compile(r"(bars?|takte?|mm?\.?) ?\d\w*( ?[-–] ?\d\w*)?", re.IGNORECASE)
_INSTEAD = {
    "the address": "Link a page with https:// or http://, mail with mailto:, a file beside piece.md by its name; or "
    "leave it out.",
    "the picture": "Put the picture beside piece.md, where you may: another site would learn who reads the page.",
    "": "Write it in Markdown, or leave it out; HTML that could run or track is never published.",
}
_KNOWN = ("https", "http", "mailto", "bars", "bar", "piece")


def _is_bars_without_colon(reference: Reference) -> bool:
    return _BARE_BARS.fullmatch(unquote(reference.target)) is not None


def references_of(draft: WrittenPiece) -> tuple[Reference, ...]:
    """The links and pictures of the commentary; none where it cannot be read, which is told elsewhere."""
    try:
        return read_references(draft.piece.commentary, draft.piece.commentary_line)[0]
    except ContentError:
        return ()


def beyond_limits(draft: WrittenPiece) -> Iterator[Finding]:
    """A commentary that cannot be turned into a page: too long, or nested too deeply."""
    try:
        read_references(draft.piece.commentary, draft.piece.commentary_line)
    except ContentError as error:
        yield draft.error(error.what, error.remedy, error.line)


def taken_out(draft: WrittenPiece) -> Iterator[Finding]:
    """HTML and addresses that are not published, since they could do harm on somebody else's device."""
    try:
        gone = read_references(draft.piece.commentary, draft.piece.commentary_line)[1]
    except ContentError:
        return
    for part in gone:
        remedy = next((told for begins, told in _INSTEAD.items() if part.what.startswith(begins)), "")
        yield draft.warning(f"{part.what} is left out of the page", remedy, part.line)


def misspelt_schemes(draft: WrittenPiece) -> Iterator[Finding]:
    """``bar 1-4``, ``takt:3`` or ``bras:1-4``: links that were meant for the music or for another piece."""
    for reference in references_of(draft):
        scheme = reference.scheme
        if scheme in _KNOWN:
            continue
        if scheme:
            near = [] if scheme in _BARS_ELSEWHERE else get_close_matches(scheme, _KNOWN, 1, 0.5)
            near = near or ["bars"]
            what = f"the link '{reference.target}' begins with '{scheme}:', which leads nowhere"
            yield draft.error(what, f"Perhaps '{near[0]}:{reference.target.partition(':')[2]}'.", reference.line)
        elif _is_bars_without_colon(reference):
            remedy = f"Write 'bars:{re.sub(r'^[^0-9]*', '', unquote(reference.target))}', with a colon."
            yield draft.error(f"the link '{reference.target}' names bars without a colon", remedy, reference.line)


def other_pieces(draft: WrittenPiece) -> Iterator[Finding]:
    """Links to pieces that the library does not hold."""
    for reference in references_of(draft):
        named = piece_meant(reference, draft.piece)
        if named is not None and named not in draft.neighbours:
            near = get_close_matches(named, sorted(draft.neighbours), 3, 0.4)
            known = (
                f"Perhaps {' or '.join(near)}." if near else f"There are: {', '.join(sorted(draft.neighbours)[:12])}."
            )
            yield draft.error(f"the link '{reference.target}' leads to no piece of the library", known, reference.line)


def paths_that_lead_away(draft: WrittenPiece) -> Iterator[Finding]:
    """Addresses without a scheme that lead neither to another piece nor to a file of this one."""
    for reference in references_of(draft):
        path = reference.path
        if piece_named(reference) is None and (path.startswith("/") or leads_out(path)):
            remedy = f"Put the file beside {draft.piece.file.name}, and link '{path.rpartition('/')[2]}'."
            what = f"the {reference.kind} '{reference.target}' leads out of the folder of the piece"
            yield draft.error(what, remedy, reference.line)


def files_and_pictures(draft: WrittenPiece) -> Iterator[Finding]:
    """Pictures and files that are not there, too large, of another kind, or without words."""
    references = [r for r in references_of(draft) if piece_named(r) is None and not _is_bars_without_colon(r)]
    _, faults = attachments_of(draft.piece.file, references)
    for fault in faults:
        yield draft.error(fault.what, fault.remedy, fault.line)


def bars_and_stages(case: Case) -> Iterator[Finding]:
    """Links and excerpts whose bars or stage the score does not have."""
    names = name_bars(case.score.bars, case.score.ticks_per_quarter)
    for reference in references_of(case.draft):
        if reference.scheme not in MUSIC:
            continue
        try:
            link = parse_link(reference.target)
            find_bars(names, link.bars)
            if link.stage and case.names:
                find_stage(link.stage, case.names)
        except ContentError as error:
            yield case.draft.error(error.what, error.remedy, reference.line)
