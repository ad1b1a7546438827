"""``works/<work>/index.html``: several teachers' ladders of one work side by side, stage by stage."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.publishing.cards import CardStage, GalleryCard
from sitegen.publishing.outputs.nouns import OfWork, PublishedFile

StageRow = list[CardStage | None]


def rows_of(ladders: Sequence[GalleryCard]) -> list[StageRow]:
    """The stages of several ladders in rows: such as have the same lasting name stand beside each other where the order
    of both allows it, and each ladder keeps its own order. A ladder that has no such stage has None there."""
    rows: list[StageRow] = []
    for column, card in enumerate(ladders):
        place = 0
        for stage in card.ladder:
            same = next((n for n in range(place, len(rows)) if stage.slug in _names(rows[n])), None)
            if same is None:
                rows.insert(place, [None] * len(ladders))
                same = place
            rows[same][column] = stage
            place = same + 1
    return rows


def _names(row: StageRow) -> set[str]:
    return {stage.slug for stage in row if stage is not None}


def _write(source: OfWork, path: str) -> bytes:
    cards = sorted(source.cards, key=lambda card: (bool(card.library), card.library, card.slug))
    return source.press.page("work.html.j2", path, ladders=cards, rows=rows_of(cards))


WORK_PAGE: PublishedFile[OfWork] = PublishedFile(OfWork, lambda source: f"works/{source.work}/index.html", _write)
