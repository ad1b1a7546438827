"""The pieces of the site that stands: what a build must not lose, and the pages of a piece that is at fault now.

A piece that cannot be made keeps its last good pages. They say that they are not up to date, since when and why; the
day is that of the build which failed first, and stays until the piece is made again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence, Set
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import msgspec

from sitegen import publishing
from sitegen.building.digests import digest_of
from sitegen.building.publication import Contents, Output, Reader
from sitegen.building.store import Damaged
from sitegen.checking import Finding
from sitegen.days import today
from sitegen.errors import ContentError, FaultsError, SitegenError
from sitegen.library import Library, slug_of
from sitegen.publishing.outputs import card

SITE = "site.json"
_ASSETS = "assets"
_PIECES = "pieces"
_LONGEST_REASON = 300


@dataclass(frozen=True, slots=True)
class LastGood:
    """A piece as an earlier build published it: its entry in ``site.json``, its card, and its files by their path
    below the site's root."""

    entry: Mapping[str, Any]
    card: publishing.GalleryCard
    files: Mapping[str, Contents]


class _Named(msgspec.Struct):
    slug: str


class _Listing(msgspec.Struct):
    pieces: list[msgspec.Raw]


def pieces_of(standing: Output) -> dict[str, bytes]:
    """The entries of the site that stands by slug, as they are listed; none where its ``site.json`` is not as it was
    left."""
    try:
        listed = msgspec.json.decode(standing.read(SITE) or b"", type=_Listing).pieces
        return {msgspec.json.decode(entry, type=_Named).slug: bytes(entry) for entry in listed}
    except msgspec.MsgspecError:
        return {}


def slugs_of(standing: Output) -> frozenset[str]:
    """The pieces of the site that stands, as its files tell, whatever has become of its ``site.json``."""
    below = (path.split("/") for path in standing.manifest.files)
    return frozenset(parts[1] for parts in below if parts[0] == _PIECES and len(parts) > 2)


def refuse_loss(library: Library, findings: Sequence[Finding], stood: Set[str], allow_removal: bool) -> None:
    """Raise ``ContentError`` where the site with the pieces ``stood`` would be published with other names or without
    its pieces by mistake: ``studio.yaml`` is at fault, or more than half of the pieces are gone from the content
    folder."""
    if not stood:
        return
    studio = str(library.root / "studio.yaml")
    for finding in findings:
        if finding.severity == "error" and finding.file == studio:
            what = f"{finding.what}; the site is left as it is"
            raise ContentError(what, finding.remedy, finding.file, finding.line)
    gone = stood - library.slugs
    if 2 * len(gone) > len(stood) and not allow_removal:
        what = f"lacks {len(gone)} of the {len(stood)} pieces of the site, such as '{min(gone)}'"
        remedy = "Name the right content folder, or give --allow-removal if they are to go; the site is left as it is."
        raise ContentError(what, remedy, library.root)


def refuse_lost_pages(findings: Sequence[Finding], stood: Set[str], next_ones: Set[str], allow_removal: bool) -> None:
    """Raise ``FaultsError`` where more than half of the pieces that ``stood`` are not among the ``next_ones``, since
    they are at fault and their last good pages cannot be kept: with what is at fault, which is to be mended."""
    lost = stood - next_ones
    if 2 * len(lost) <= len(stood) or allow_removal:
        return
    what = f"no pages are left of {len(lost)} of the {len(stood)} pieces of the site, such as '{min(lost)}'"
    remedy = "Mend what is at fault, or give --allow-removal if they are to go; the site is left as it is."
    faults = [SitegenError(f.what, f.remedy, f.file, f.line, f.bar) for f in findings if f.severity == "error"]
    raise FaultsError([*faults, ContentError(what, remedy)])


def last_good(
    slug: str, entry: bytes, standing: Output, read: Reader, why: str, words: publishing.Catalogue
) -> LastGood | None:
    """The pages of a piece as they stand, marked as not up to date because of ``why``; ``read`` may still have what
    somebody has removed of them. None where they are not whole, or another version of the program wrote them."""
    base, stood = f"pieces/{slug}", json.loads(entry)
    files: dict[str, Contents] = {path: listed.sha256 for path, listed in standing.manifest.below([base]).items()}

    def bytes_of(path: str) -> bytes | None:
        with suppress(Damaged):
            return standing.read(path) or (read(standing.manifest.files[path].sha256) if path in files else None)
        return None

    shown = publishing.card_from_bytes(bytes_of(f"{base}/{card.FILE}") or b"")
    if shown is None or not all(standing.stands(path) or bytes_of(path) is not None for path in files):
        return None
    outdated = {"since": _since(stood), "why": why}
    for path in files:
        page = bytes_of(path) if path.endswith(".html") else None
        if page is not None:
            files[path] = publishing.mark_outdated(page, words("piece.outdated", **outdated))
    lists = publishing.render_lists({}, f"{base}/")
    kept = {path.removeprefix(f"{base}/"): _digest(contents) for path, contents in files.items() if path not in lists}
    files |= publishing.render_lists(kept, f"{base}/")
    return LastGood({**stood, "outdated": outdated}, shown, files)


def assets_of(standing: Output) -> dict[str, Contents]:
    """The scripts and styles of the site that stands: last good pages were made for these, whatever the theme and its
    words have become."""
    listed = standing.manifest.below([_ASSETS])
    return {path: one.sha256 for path, one in listed.items() if standing.stands(path)}


def reason_of(slug: str, library: Library, findings: Sequence[Finding]) -> str:
    """Why a piece could not be made, as its first fault says; files are named from the content folder on, since where
    that lies is nobody's business."""
    for finding in findings:
        if finding.severity == "error" and slug in (finding.piece, _slug_of_file(finding.file, library)):
            text = str(SitegenError(finding.what, "", finding.file, finding.line, finding.bar))
            for root in (*library.joined.values(), library.root.resolve(), library.root):
                text = text.replace(f"{root}{os.sep}", "")
            return text if len(text) <= _LONGEST_REASON else f"{text[:_LONGEST_REASON]} …"
    return ""


def _since(stood: Mapping[str, Any]) -> str:
    before = stood.get("outdated")
    return str(before["since"]) if isinstance(before, dict) and "since" in before else today()


def _digest(contents: Contents) -> str:
    return contents if isinstance(contents, str) else digest_of(contents)


def _slug_of_file(file: str, library: Library) -> str:
    """The slug of the piece in whose folder a file lies; empty for a file of no piece."""
    roots = {"": library.root, **{f"{name}--": place for name, place in library.joined.items()}}
    for before, root in roots.items():
        if file.startswith(start := f"{root}{os.sep}"):
            return before + slug_of(file.removeprefix(start).split(os.sep)[0])
    return ""
