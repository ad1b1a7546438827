"""Links from the commentary into the music: ``[hear it](bars:5-8)``, and excerpts: ``![the bass](bars:5-8/bass-line)``.

What they may name is said in ``sitegen.places.addresses``. A link becomes an address that opens the stage's page at
these bars, which scripts turn into playing them in a loop.
"""

from __future__ import annotations

import re
from html import escape, unescape

from sitegen.places.addresses import MusicLink, fragment_of, parse_link
from sitegen.places.bars import find_bars
from sitegen.places.nouns import BarName
from sitegen.places.stages import StageName, find_stage
from sitegen.publishing.nouns import Excerpt, PiecePage

_TAG = re.compile(r'<(a|img)((?: [a-z]+="[^"]*")*) ?/?>')
"""A link or a picture, as the sanitised commentary has them; signs of less and more may stand in quotation marks."""
_ATTRIBUTE = re.compile(r' ([a-z]+)="([^"]*)"')
_MUSIC = re.compile(r"bars?:", re.IGNORECASE)


def excerpt_links(commentary: str) -> tuple[str, ...]:
    """The addresses of the excerpts that are to be engraved for this commentary, each once, in order."""
    pictures = (_attributes(match).get("src", "") for match in _TAG.finditer(commentary) if match[1] == "img")
    return tuple(dict.fromkeys(address for address in pictures if _MUSIC.match(address)))


def _attributes(match: re.Match[str]) -> dict[str, str]:
    """The attributes of a tag as they are meant, not as they are written."""
    return {name: unescape(value) for name, value in _ATTRIBUTE.findall(match[2])}


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

    def made_real(match: re.Match[str]) -> str:
        given = _attributes(match)
        address = given.get("href" if match[1] == "a" else "src", "")
        if not _MUSIC.match(address):
            return match[0]
        anchor = _anchor(parse_link(address), piece, to_piece)
        if match[1] == "a":
            return anchor
        return _figure(anchor, excerpts.get(address), given.get("alt", ""), to_piece)

    return _TAG.sub(made_real, piece.commentary)


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
    # what was an attribute becomes a text: whoever wrote the attribute need not have escaped what ends a text
    words = escape(caption)
    if excerpt is None:
        return f"{anchor}{words}</a>"
    drawing = excerpt.drawing
    return (
        f'<span class="excerpt"><img src="{to_piece}{escape(drawing.file)}" width="{drawing.width:g}" '
        f'height="{drawing.height:g}" alt="" loading="lazy"> {anchor}{words}</a></span>'
    )
