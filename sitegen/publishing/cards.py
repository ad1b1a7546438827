"""A piece at a glance: what the gallery, the index pages and the feed know of it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

import msgspec

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.nouns import Drawing, PiecePage, StagePage


@dataclass(frozen=True, slots=True)
class CardStage:
    """A stage of a ladder at a glance: ``view`` is the address of its first system, below the folder of the piece."""

    slug: str
    title: str
    note_count: int
    view: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class GalleryCard:
    """A piece as the gallery shows it. ``incipit`` is named relative to the folder of the piece. Where others are
    ladders of the same ``work`` too, its ``ladder`` is shown beside theirs.

    ``textures`` and ``techniques`` are names in English; ``span`` is the widest stretch in semitones that the piece as
    written asks of a hand, ``difficulty`` that of the piece as written, ``added`` as of ``PiecePage``.
    """

    slug: str
    title: str
    composer: str
    summary: str
    key: str
    tags: tuple[str, ...]
    bar_count: int
    stage_count: int
    incipit: Drawing | None = None
    level: str = ""
    period: str = ""
    added: str = ""
    textures: tuple[str, ...] = ()
    techniques: tuple[str, ...] = ()
    span: int = 0
    difficulty: float = 0.0
    library: str = ""
    work: str = ""
    ladder: tuple[CardStage, ...] = ()


def card_of(piece: PiecePage) -> GalleryCard:
    """What the gallery shows of ``piece``."""
    written = [stage for stage in piece.stages if stage.as_written]
    return GalleryCard(
        piece.slug,
        piece.title,
        piece.composer,
        piece.summary,
        piece.key,
        piece.tags,
        len(piece.bars),
        len(piece.stages),
        piece.incipit,
        piece.level,
        piece.period,
        piece.added,
        piece.textures,
        tuple(dict.fromkeys(n for stage in piece.stages if not stage.as_written for n in stage.made_by)),
        max((hand.widest for stage in written for hand in stage.hands), default=0),
        round(max((stage.difficulty for stage in written), default=0.0), 2),
        piece.library,
        piece.work,
        tuple(_card_stage(stage) for stage in piece.stages) if piece.work else (),
    )


def _card_stage(stage: StagePage) -> CardStage:
    sheet = (stage.sheets.get("phone") or next(iter(stage.sheets.values())))[0]
    first = sheet.systems[0]
    return CardStage(stage.slug, stage.title, stage.note_count, sheet.view(first), sheet.width, first.height)


def card_to_bytes(card: GalleryCard) -> bytes:
    """The card as it lies beside the pages of its piece."""
    return as_json(asdict(card))


def card_from_bytes(data: bytes) -> GalleryCard | None:
    """The card that an earlier build left there; None where another version wrote it."""
    try:
        return msgspec.convert(json.loads(data), GalleryCard, strict=True)
    except (ValueError, msgspec.MsgspecError):
        return None
