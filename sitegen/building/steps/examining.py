"""What can be said of a piece whose music is understood."""

from __future__ import annotations

from sitegen.building.plans import written_days
from sitegen.building.steps.stages import whole
from sitegen.building.telling import Teller
from sitegen.checking.cases import Case, WrittenPiece
from sitegen.checking.nouns import Finding, findings_of
from sitegen.checking.validations import check_case
from sitegen.errors import SitegenError
from sitegen.library.matter import StudioMatter
from sitegen.library.nouns import Piece
from sitegen.publishing.messages import Catalogue
from sitegen.reduction import Stage, StageNote
from sitegen.score.nouns import Score


def examine_music(
    piece: Piece,
    studio: StudioMatter,
    score: Score,
    stages: tuple[Stage, ...],
    notes: tuple[tuple[StageNote, ...], ...],
    rights: tuple[str, ...],
    words: Catalogue,
) -> tuple[Finding, ...]:
    """Everything found in the music and the plan. Without ``stages``, where the wishes could not be understood, what
    can be said of the score."""
    teller = Teller(words)
    ladder = whole(stages, notes)
    found: list[Finding] = []
    if ladder:
        try:
            written_days(piece, score, ladder, teller)
        except SitegenError as error:
            found += findings_of(error, "error", piece.slug, piece.file)
    names = tuple(teller.called(stage) for stage in ladder)
    case = Case(WrittenPiece(piece, studio), score, ladder, piece.matter.hand or studio.hand, rights, names)
    found += (finding for finding in check_case(case) if finding not in found)
    return tuple(found)
