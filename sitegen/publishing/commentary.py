"""Links from the commentary into the music: ``[hear it](bars:5-8)``, and excerpts: ``![the bass](bars:5-8/bass-line)``.

What they may name is said in ``sitegen.places.addresses``. A link becomes an address that opens the stage's page at
these bars, which scripts turn into playing them in a loop.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape, unescape

from sitegen.places.addresses import MusicLink, fragment_of, parse_link
from sitegen.places.bars import find_bars
from sitegen.places.nouns import BarName
from sitegen.places.stages import StageName, find_stage
from sitegen.publishing.nouns import Excerpt, PiecePage

_LINK = re.compile(r'<a\b[^>]*?\bhref="(bars?:[^"]*)"[^>]*>', re.IGNORECASE)
_IMAGE = re.compile(r'<img\b(?=[^>]*?\bsrc="(bars?:[^"]*)")(?:(?=[^>]*?\balt="([^"]*)"))?[^>]*>', re.IGNORECASE)


def excerpt_links(commentary: str) -> tuple[str, ...]:
    """The addresses of the excerpts that are to be engraved for this commentary, each once, in order."""
    return tuple(dict.fromkeys(unescape(match.group(1)) for match in _IMAGE.finditer(commentary)))


def music_links(commentary: str) -> Iterator[str]:
    """The addresses of all links and excerpts in a commentary, for checking them."""
    for pattern in (_LINK, _IMAGE):
        yield from (unescape(match.group(1)) for match in pattern.finditer(commentary))


def bars_of(link: MusicLink, piece: PiecePage) -> tuple[int, int]:
    """The indices of the first and the last bar. Raises ``ContentError`` for bars that the score has not."""
    names = [
        BarName(bar.number, bar.own or bar.number, index == 0 and bar.lead > 0) for index, bar in enumerate(piece.bars)
    ]
    return find_bars(names, link.bars)


def publish_commentary(piece: PiecePage, to_piece: str) -> str:
    """The commentary with its music links and excerpts made real. ``to_piece`` leads from the page to the folder of
    the piece, such as ``../../``. Raises ``ContentError`` for bars or stages that are not there.
    """
    excerpts = {excerpt.link: excerpt for excerpt in piece.excerpts}

    def link(match: re.Match[str]) -> str:
        return _anchor(parse_link(unescape(match.group(1))), piece, to_piece)

    def image(match: re.Match[str]) -> str:
        name = unescape(match.group(1))
        return _figure(_anchor(parse_link(name), piece, to_piece), excerpts.get(name), match.group(2) or "", to_piece)

    return _IMAGE.sub(image, _LINK.sub(link, piece.commentary))


def _anchor(link: MusicLink, piece: PiecePage, to_piece: str) -> str:
    first, last = bars_of(link, piece)
    slug = ""
    if link.stage:
        known = [StageName(stage.slug, (stage.title,), stage.also) for stage in piece.stages]
        slug = known[find_stage(link.stage, known)].name
    page = f"{to_piece}stages/{slug}/index.html" if slug else f"{to_piece}index.html"
    stage = f' data-stage="{slug}"' if slug else ""
    place = fragment_of(piece.bars[first].number, piece.bars[last].number)
    return f'<a class="to-bars" href="{page}{place}" data-first="{first}" data-last="{last}"{stage}>'


def _figure(anchor: str, excerpt: Excerpt | None, caption: str, to_piece: str) -> str:
    if excerpt is None:
        return f"{anchor}{caption}</a>"
    drawing = excerpt.drawing
    return (
        f'<span class="excerpt"><img src="{to_piece}{escape(drawing.file)}" width="{drawing.width:g}" '
        f'height="{drawing.height:g}" alt="" loading="lazy"> {anchor}{caption}</a></span>'
    )
