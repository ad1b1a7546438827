"""What went wrong with one piece, as a fault that its teacher can act on."""

from __future__ import annotations

from pathlib import Path

from sitegen.apart import words_for
from sitegen.building.scheduling import StepDefectError, StepDiedError
from sitegen.building.steps.table import EXAMINATION, IDLE_WISHES, PAGES, WISHES
from sitegen.building.store import Damaged
from sitegen.errors import ContentError, ScoreError, SitegenError
from sitegen.library import Piece
from sitegen.library.folders import cannot_be_read

_OF_WORDS = frozenset(step.name for step in (WISHES, IDLE_WISHES, EXAMINATION, PAGES))


def is_passing(error: Exception) -> bool:
    """Whether it may be otherwise the next time, though the content is the same: it is no fault of the content."""
    return not isinstance(error, SitegenError)


def fault_of(error: Exception, piece: Piece) -> SitegenError:
    """The fault that ``error`` means for ``piece``: its own, with the file where it names none, or a defect of ours.

    A defect must not cost the teacher her other pieces, so it is told as a fault of this one, which she can go around;
    the place in the program is for whoever mends that. What the store has lost is no fault: it is raised again, and the
    piece begun anew. Nor is a file system that fails, but for a file of the piece's own.
    """
    if isinstance(error, OSError) and isinstance(error.filename, str) and Path(error.filename).parent == piece.folder:
        return cannot_be_read(error, piece.file)
    if isinstance(error, (Damaged, OSError)):
        raise error
    if isinstance(error, StepDiedError):
        what = f"the program that reads and engraves it {error}"
        return ScoreError(what, error.remedy, piece.score)
    if not isinstance(error, SitegenError):
        told = str(error) if isinstance(error, StepDefectError) else words_for(error)
        if isinstance(error, StepDefectError) and error.step not in _OF_WORDS:
            return ScoreError(f"could not be made ({told})", "Export it again, without what is odd in it.", piece.score)
        return ContentError(f"could not be made ({told})", "Leave out what is odd in it.", piece.file)
    if error.file is None:
        error.file = piece.file
    return error
