"""``print.html``: all stages of a piece to be printed; with ``#<slug>`` in its address it shows that one alone."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece
from sitegen.publishing.qr import qr_svg


def _write(source: OfPiece, path: str) -> bytes:
    address, piece = source.press.library.address.rstrip("/"), source.piece
    codes = {
        stage.slug: Markup(qr_svg(f"{address}/pieces/{piece.slug}/stages/{stage.slug}/")) if address else ""
        for stage in piece.stages
    }
    return source.press.page("print.html.j2", path, piece=piece, codes=codes)


PRINT_PAGE: PublishedFile[OfPiece] = PublishedFile(OfPiece, below_piece("print.html"), _write)
