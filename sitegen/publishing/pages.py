"""Pages from data: the gallery, a page for each stage of a piece, the printed pages, and the page about the site.

Every function returns files by their path below the root of the site; nothing is written here. Links are relative, so
a site can lie in any folder of any host. Which files there are is said in ``outputs/``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.nouns import GalleryCard, Library, PiecePage
from sitegen.publishing.outputs import (
    LISTING,
    OF_PIECE,
    OF_SITE,
    OF_STAGE,
    OfListing,
    OfPiece,
    OfSite,
    OfStage,
    written,
)
from sitegen.publishing.press import press_of

_NOT_KEPT = re.compile(r"sounds/|worker\.js$|offline\.json$|analysis\.json$|card\.json$|site\.json$")


def render_gallery(library: Library, pieces: Sequence[GalleryCard]) -> dict[str, bytes]:
    """The pages of the whole site: gallery, credits, and the manifest for the home screen."""
    return written(OF_SITE, OfSite(press_of(library), pieces))


def render_piece(library: Library, piece: PiecePage) -> dict[str, bytes]:
    """All pages and page data of a piece: it opens at the first stage of the ladder, and each stage has a page of its
    own that opens there. Raises ``ContentError`` for commentary that names bars or stages that are not there.
    """
    press = press_of(library)
    files = written(OF_PIECE, OfPiece(press, piece))
    for stage in piece.stages:
        files |= written(OF_STAGE, OfStage(press, piece, stage))
    return files


def render_listing(library: Library, entries: Mapping[str, bytes]) -> dict[str, bytes]:
    """``site.json``; ``entries`` are what ``entry_of`` says of each piece, ``as_listed``, by slug."""
    return written((LISTING,), OfListing(library, entries))


def offline_list(files: Mapping[str, str]) -> bytes:
    """The list by which the worker keeps a piece (or the site's own files) for use without a connection.

    ``files`` maps paths, relative to the list's own folder, to the SHA-256 of their bytes in hexadecimal. A browser
    takes the new files only when it has them all and each has its digest, so that it never shows half a new page.
    Sounds are left out, which a page asks for by itself, as many as its piece needs; so is what no page opens.
    """
    kept = {path: digest for path, digest in sorted(files.items()) if not _NOT_KEPT.match(path)}
    return as_json({"files": kept})
