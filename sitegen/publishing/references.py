"""Links of a commentary to files of its piece and to other pieces, made to lead there from every page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape, unescape

from sitegen.publishing.nouns import PiecePage

_ATTRIBUTE = re.compile(r'\b(href|src)="([^"]*)"')


def lead_to_pieces(html: str, pieces: Mapping[str, str], to_pieces: str) -> str:
    """``html`` with its links to ``pieces``, slugs by what is written, leading there; ``to_pieces`` leads from the page
    to the folder of all pieces, such as ``../../pieces/``."""
    return lead_to(html, {target: f"{slug}/index.html" for target, slug in pieces.items()}, to_pieces)


def lead_to(html: str, places: Mapping[str, str], to_root: str) -> str:
    """``html`` with its links and pictures leading to ``places``, paths by what is written; ``to_root`` leads from the
    page to the folder in which these begin, such as ``../../``."""

    def lead(match: re.Match[str]) -> str:
        place = places.get(unescape(match[2]))
        return match[0] if place is None else f'{match[1]}="{escape(to_root + place)}"'

    return _ATTRIBUTE.sub(lead, html)


def publish_references(html: str, piece: PiecePage, to_piece: str) -> str:
    """``html`` with the files and pieces that it names where they lie on the site. ``to_piece`` leads from the page to
    the folder of the piece, such as ``../../``; other addresses stay as they are."""

    def lead(match: re.Match[str]) -> str:
        target = unescape(match[2])
        if target in piece.attachments:
            return f'{match[1]}="{escape(to_piece + piece.attachments[target])}"'
        if target in piece.siblings:
            folder = "../../pieces" if piece.place else ".."
            return f'{match[1]}="{to_piece}{folder}/{piece.siblings[target]}/index.html"'
        return match[0]

    return _ATTRIBUTE.sub(lead, html)
