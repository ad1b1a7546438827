"""What went wrong with one piece, as a fault that its teacher can act on."""

from __future__ import annotations

from sitegen.errors import ContentError, SitegenError
from sitegen.library import Piece


def fault_of(error: Exception, piece: Piece) -> SitegenError:
    """The fault that ``error`` means for ``piece``: its own, with the file where it names none, or a defect of ours.

    A defect must not cost the teacher her other pieces, so it is reported as a fault of this one.
    """
    if not isinstance(error, SitegenError):
        return ContentError(
            f"could not be made ({type(error).__name__}: {' '.join(str(error).split())[:160]})",
            "Please report this with the score.",
            piece.file,
        )
    if error.file is None:
        error.file = piece.file
    return error
