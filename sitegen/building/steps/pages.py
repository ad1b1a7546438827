"""The pages of a piece, and what the gallery and the listing of the site have of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sitegen.analysis import Analysis
from sitegen.building.paging import DrawnStage, Music, lay_out
from sitegen.building.plans import PlanWanted
from sitegen.building.steps.nouns import Drawn, NoteIds, Outputs, SheetOutline
from sitegen.building.steps.stages import whole
from sitegen.building.telling import Teller
from sitegen.library.nouns import Piece
from sitegen.publishing.cards import card_of
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PublishedLibrary
from sitegen.publishing.outputs.listing import entry_of
from sitegen.publishing.outputs.nouns import folder_of
from sitegen.publishing.pages import render_piece
from sitegen.reduction import Stage, StageNote
from sitegen.score.nouns import Score


def make_pages(
    piece: Piece,
    studio: PublishedLibrary,
    score: Score,
    analysis: Analysis,
    stages: tuple[Stage, ...],
    notes: tuple[tuple[StageNote, ...], ...],
    heads: tuple[NoteIds, ...],
    drawn: tuple[Drawn, ...],
    played: tuple[dict[str, Any], ...],
    pictures: tuple[SheetOutline, ...],
    links: tuple[str, ...],
    attachments: Mapping[str, str],
    words: Catalogue,
    plan: PlanWanted,
    theme: str,
    work: str = "",
) -> Outputs:
    """``card``, ``entry``, and each page and file of data by its path below the folder of the piece.

    ``drawn`` lists the layouts of the first stage, then those of the next; ``pictures`` are those of ``links``.
    ``theme`` is a digest of the theme, which is read where it lies; ``work`` the name of a work of which there are
    other ladders too. Raises ``ContentError``.
    """
    del theme
    layouts = len(drawn) // len(stages)
    rows = [drawn[layouts * place : layouts * (place + 1)] for place in range(len(stages))]
    ladder = [DrawnStage(*one) for one in zip(whole(stages, notes), heads, rows, played, strict=True)]
    shown = dict(zip(links, pictures, strict=True))
    laid_out = lay_out(piece, Music(score, analysis), ladder, shown, attachments, Teller(words), plan)
    page = replace(laid_out, work=work)
    prefix = folder_of(piece.slug)
    files = {path.removeprefix(prefix): data for path, data in render_piece(studio, page).items()}
    return Outputs({"card": card_of(page), "entry": entry_of(page), **files})
