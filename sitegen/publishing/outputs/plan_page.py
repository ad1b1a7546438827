"""``plan.html``: the plan of a piece on a sheet of paper, with boxes to tick and a code that opens the piece."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece, folder_of
from sitegen.publishing.outputs.plan_calendar import task_in_words
from sitegen.publishing.qr import qr_svg


def _write(source: OfPiece, path: str) -> bytes:
    piece, address = source.piece, source.press.library.address.rstrip("/")
    code = Markup(qr_svg(f"{address}/{folder_of(piece.slug)}")) if address else ""
    words = source.press.words
    return source.press.page("plan.html.j2", path, piece=piece, code=code, told=lambda task: task_in_words(task, words))


PLAN_PAGE: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece("plan.html"), _write, wanted=lambda source: bool(source.piece.plan)
)
