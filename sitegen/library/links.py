"""Links from one piece to another: by the name of its folder, as a path or as ``piece:name``."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sitegen.library.references import Reference
from sitegen.library.slugs import slug_of

if TYPE_CHECKING:  # the noun of the library knows its collections, whose links are read by this module
    from sitegen.library.nouns import Piece

_PATH = re.compile(r"\.\./(?P<name>[^/]+)(?:/(?:piece\.md|index\.html)?)?")


def piece_meant(reference: Reference, piece: Piece) -> str | None:
    """The slug of the piece that a link of the commentary of ``piece`` means: one of the same library; else None."""
    named = piece_named(reference)
    return named and piece.slug.partition("--")[0] + "--" + named if piece.origin else named


def piece_named(reference: Reference) -> str | None:
    """The slug of the piece that a link names: ``piece:waltz``, ``../waltz``, ``../waltz/piece.md``; else None."""
    if reference.kind != "link":
        return None
    if reference.scheme == "piece":
        return slug_of(reference.target.partition(":")[2])
    found = _PATH.fullmatch(reference.path)
    return slug_of(found["name"]) if found else None
