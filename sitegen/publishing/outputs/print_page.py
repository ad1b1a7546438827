"""``print.html``: all stages of a piece to be printed, then its plan and its words; with ``#<slug>`` in its address it
shows that stage alone, with ``#paper_words`` plan and words.

Where the studio's address is known, a code opens each stage, and each stretch of it that the plan sets.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from sitegen.places.addresses import fragment_of
from sitegen.publishing.commentary import publish_commentary
from sitegen.publishing.nouns import PiecePage
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, address_of, below_piece
from sitegen.publishing.qr import qr_svg
from sitegen.publishing.references import publish_references
from sitegen.publishing.rights import rights_in_words


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Bars of a stage by their printed numbers, one or the first and the last, and the code that opens them."""

    bars: tuple[str, ...]
    code: Markup


def _write(source: OfPiece, path: str) -> bytes:
    piece, address = source.piece, address_of(source.piece, source.press.library)
    pages = {stage.slug: f"{address}stages/{stage.slug}/" if address else "" for stage in piece.stages}
    return source.press.page(
        "print.html.j2",
        path,
        piece=piece,
        rights=rights_in_words(piece, source.press.words),
        commentary=Markup(publish_references(publish_commentary(piece, ""), piece, "")),
        codes={slug: Markup(qr_svg(page)) if page else "" for slug, page in pages.items()},
        stretches={slug: _stretches(piece, slug, page) if page else [] for slug, page in pages.items()},
    )


def _stretches(piece: PiecePage, slug: str, page: str) -> list[_Stretch]:
    """What the plan sets of a stage: each stretch once, in the plan's order."""
    tasks = [task for day in piece.plan for task in day.tasks if task.stage == slug and task.bars]
    return [
        _Stretch(bars, Markup(qr_svg(page + fragment_of(bars[0], bars[-1]))))
        for bars in dict.fromkeys(task.bars for task in tasks)
    ]


PRINT_PAGE: PublishedFile[OfPiece] = PublishedFile(OfPiece, below_piece("print.html"), _write)
