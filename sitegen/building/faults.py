"""What went wrong with one piece, as a fault that its teacher can act on."""

from __future__ import annotations

from pathlib import Path

from sitegen.building.scheduling import StepDefectError, StepDiedError
from sitegen.building.store import Damaged
from sitegen.errors import ContentError, ScoreError, SitegenError
from sitegen.library import Piece
from sitegen.library.folders import cannot_be_read


def fault_of(error: Exception, piece: Piece) -> SitegenError:
    """The fault that ``error`` means for ``piece``: its own, with the file where it names none, or a defect of ours.

    A defect must not cost the teacher her other pieces, so it is reported as a fault of this one. What the store has
    lost is no fault: it is raised again, and the piece begun anew. Nor is a file system that fails, but for a file of
    the piece's own.
    """
    if isinstance(error, OSError) and isinstance(error.filename, str) and Path(error.filename).parent == piece.folder:
        return cannot_be_read(error, piece.file)
    if isinstance(error, (Damaged, OSError)):
        raise error
    if isinstance(error, StepDiedError):
        what = f"the program that reads and engraves it {error}"
        return ScoreError(what, "Export the score again, or split it.", piece.score)
    if not isinstance(error, SitegenError):
        told = str(error) if isinstance(error, StepDefectError) else f"{type(error).__name__}: {error}"
        return ContentError(
            f"could not be made ({' '.join(told.split())[:200]})", "Please report this with the score.", piece.file
        )
    if error.file is None:
        error.file = piece.file
    return error
