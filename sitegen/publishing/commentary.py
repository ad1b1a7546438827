"""Links from the commentary into the music: ``[hear it](bars:5-8)``, and excerpts: ``![the bass](bars:5-8/bass-line)``.

Bars are named as printed; a stage may follow after a slash, by its slug. A link becomes an address that opens the
stage's page at these bars, which scripts turn into playing them in a loop.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape, unescape

from sitegen.errors import ContentError
from sitegen.publishing.nouns import Excerpt, PiecePage

_ADDRESS = re.compile(r"^bars:(?P<first>[^-/]+)(?:-(?P<last>[^-/]+))?(?:/(?P<stage>[a-z0-9-]+))?$")
_LINK = re.compile(r'<a\b[^>]*?\bhref="(bars:[^"]*)"[^>]*>', re.IGNORECASE)
_IMAGE = re.compile(r'<img\b(?=[^>]*?\bsrc="(bars:[^"]*)")(?:(?=[^>]*?\balt="([^"]*)"))?[^>]*>', re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class MusicAddress:
    """Bars ``first`` to ``last`` as printed, of a stage (empty: whichever is open)."""

    first: str
    last: str
    stage: str = ""


def read_address(link: str) -> MusicAddress:
    """What ``bars:5-8/bass-line`` names. Raises ``ContentError`` for an address of another form."""
    match = _ADDRESS.match(link)
    if match is None:
        raise ContentError(f"'{link}' names no bars", "Write bars:5-8, or bars:5-8/stage-name")
    return MusicAddress(match["first"], match["last"] or match["first"], match["stage"] or "")


def excerpt_links(commentary: str) -> tuple[str, ...]:
    """The addresses of the excerpts that are to be engraved for this commentary, each once, in order."""
    return tuple(dict.fromkeys(unescape(match.group(1)) for match in _IMAGE.finditer(commentary)))


def music_links(commentary: str) -> Iterator[str]:
    """The addresses of all links and excerpts in a commentary, for checking them."""
    for pattern in (_LINK, _IMAGE):
        yield from (unescape(match.group(1)) for match in pattern.finditer(commentary))


def bars_of(address: MusicAddress, piece: PiecePage) -> tuple[int, int]:
    """The indices of the first and the last bar. Raises ``ContentError`` for bars that the score has not."""
    numbers = [bar.number for bar in piece.bars]
    for number in (address.first, address.last):
        if number not in numbers:
            raise ContentError(
                f"The commentary names bar {number}, which the score has not",
                f"Its bars are {numbers[0]} to {numbers[-1]}" if numbers else "The score has no bars",
                file=f"{piece.slug}/piece.md",
            )
    last = len(numbers) - 1 - numbers[::-1].index(address.last)
    return numbers.index(address.first), max(numbers.index(address.first), last)


def publish_commentary(piece: PiecePage, to_piece: str) -> str:
    """The commentary with its music links and excerpts made real. ``to_piece`` leads from the page to the folder of
    the piece, such as ``../../``. Raises ``ContentError`` for bars or stages that are not there.
    """
    excerpts = {excerpt.link: excerpt for excerpt in piece.excerpts}

    def link(match: re.Match[str]) -> str:
        address = read_address(unescape(match.group(1)))
        return _anchor(address, piece, to_piece)

    def image(match: re.Match[str]) -> str:
        name = unescape(match.group(1))
        address = read_address(name)
        return _figure(_anchor(address, piece, to_piece), excerpts.get(name), match.group(2) or "", to_piece)

    return _IMAGE.sub(image, _LINK.sub(link, piece.commentary))


def _anchor(address: MusicAddress, piece: PiecePage, to_piece: str) -> str:
    first, last = bars_of(address, piece)
    if address.stage and address.stage not in {stage.slug for stage in piece.stages}:
        raise ContentError(
            f"The commentary names the stage '{address.stage}', which the ladder has not",
            f"Its stages are: {', '.join(stage.slug for stage in piece.stages)}",
            file=f"{piece.slug}/piece.md",
        )
    page = f"{to_piece}stages/{address.stage}/index.html" if address.stage else f"{to_piece}index.html"
    stage = f' data-stage="{address.stage}"' if address.stage else ""
    return f'<a class="to-bars" href="{page}#bars-{first}-{last}" data-first="{first}" data-last="{last}"{stage}>'


def _figure(anchor: str, excerpt: Excerpt | None, caption: str, to_piece: str) -> str:
    if excerpt is None:
        return f"{anchor}{caption}</a>"
    drawing = excerpt.drawing
    return (
        f'<span class="excerpt"><img src="{to_piece}{escape(drawing.file)}" width="{drawing.width:g}" '
        f'height="{drawing.height:g}" alt="" loading="lazy"> {anchor}{caption}</a></span>'
    )
