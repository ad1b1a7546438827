"""``plan.html``: the plan of a piece on a sheet of paper, with boxes to tick and a code that opens the piece."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, address_of, below_piece
from sitegen.publishing.outputs.plan_calendar import task_in_words
from sitegen.publishing.qr import qr_svg
from sitegen.publishing.rights import rights_in_words


def _write(source: OfPiece, path: str) -> bytes:
    piece, address = source.piece, address_of(source.piece, source.press.library)
    code = Markup(qr_svg(address)) if address else ""
    words = source.press.words
    return source.press.page(
        "plan.html.j2",
        path,
        piece=piece,
        code=code,
        rights=rights_in_words(piece, words),
        told=lambda task: task_in_words(task, words),
    )


PLAN_PAGE: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece("plan.html"), _write, wanted=lambda source: bool(source.piece.plan)
)
