"""One piece through every step that costs time: read, understood, reduced, written, engraved. All of it is cached."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis import Analysis, analyse
from sitegen.building.cache import Cache
from sitegen.building.keys import key
from sitegen.engraving import Engraving, Notation, System, engrave, engrave_bars, engrave_incipit
from sitegen.errors import ScoreError
from sitegen.library import Piece
from sitegen.notation import write_stage
from sitegen.reduction import Stage, build_ladder
from sitegen.score import Score, Source, open_source, read_score, starting_tempo


@dataclass(frozen=True, slots=True)
class Understood:
    """A piece read, analysed and reduced."""

    source: Source
    score: Score
    analysis: Analysis
    stages: tuple[Stage, ...]
    tempo: float


@dataclass(frozen=True, slots=True)
class DrawnStage:
    """A stage with its MusicXML and all that was engraved from it. ``noteheads`` lists, for each note that is drawn
    with several tied heads, all their ids."""

    stage: Stage
    musicxml: str
    engraving: Engraving
    noteheads: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A piece ready to be laid out on pages."""

    understood: Understood
    drawn: tuple[DrawnStage, ...]
    incipit: System
    excerpts: dict[str, System]


def understand(piece: Piece, span: int, cache: Cache) -> Understood:
    """Read, analyse and reduce a piece for a hand of ``span`` semitones, with the teacher's adjustments.

    Raises ``ScoreError`` or ``ContentError`` naming file and place.
    """
    source = open_source(piece.score)
    base = key("understood", source.text, source.kind, piece.score.name)
    score, analysis = cache.get_or_make(base, lambda: _read(source))
    if not score.notes:
        raise ScoreError("holds no notes", "Check the export: only rests were found.", piece.score)
    stages = cache.get_or_make(
        key("ladder", base, _digest_of_wishes(piece, span)),
        lambda: build_ladder(score, analysis),
    )
    return Understood(source, score, analysis, stages, piece.matter.tempo or starting_tempo(score))


def prepare(piece: Piece, span: int, excerpts: Sequence[tuple[str, str, str, str]], cache: Cache) -> Prepared:
    """Everything about a piece that pages need. ``excerpts`` are (link, stage slug or empty, first and last bar as
    printed). Raises ``ScoreError``, ``ContentError`` or ``EngravingError``.
    """
    understood = understand(piece, span, cache)
    base = key(understood.source.text, piece.score.name, _digest_of_wishes(piece, span), repr(understood.tempo))
    drawn = tuple(
        cache.get_or_make(key("stage", base, stage.slug), lambda stage=stage: _draw(understood, stage))  # type: ignore[misc]
        for stage in understood.stages
    )
    last = drawn[-1]
    text, notation = _notation_of(understood, last.stage, last.musicxml)
    incipit = cache.get_or_make(key("incipit", base), lambda: engrave_incipit(text, notation))
    pictures = {
        link: cache.get_or_make(
            key("excerpt", base, link),
            lambda which=stage, a=first, b=last_bar: _excerpt(understood, drawn, which, a, b),  # type: ignore[misc]
        )
        for link, stage, first, last_bar in excerpts
    }
    return Prepared(understood, drawn, incipit, {k: v for k, v in pictures.items() if v is not None})


def _read(source: Source) -> tuple[Score, Analysis]:
    score = read_score(source)
    return score, analyse(score)


def _digest_of_wishes(piece: Piece, span: int) -> str:
    digest = hashlib.sha256(repr((piece.stages, piece.adjustments, span)).encode())
    for wish in piece.stages:
        named = wish.value.get("file") if isinstance(wish.value, dict) else None
        file = piece.folder / str(named) if named else None
        if file is not None and file.is_file():
            digest.update(file.read_bytes())
    return digest.hexdigest()


def _draw(understood: Understood, stage: Stage) -> DrawnStage:
    source = understood.source
    musicxml = source.text if stage.as_written and source.kind == "musicxml" else write_stage(understood.score, stage)
    text, notation = _notation_of(understood, stage, musicxml)
    pitches = {n.id: n.midi for n in stage.notes}
    noteheads = _noteheads(understood, stage, musicxml)
    keep = [head for heads in noteheads.values() for head in heads]
    played = None if text is musicxml else musicxml
    lengths = [float(understood.score.quarters(b.length)) for b in understood.score.bars]
    engraving = engrave(text, notation, pitches, lengths, understood.tempo, keep, played)
    return DrawnStage(stage, musicxml, engraving, noteheads)


def _notation_of(understood: Understood, stage: Stage, musicxml: str) -> tuple[str, Notation]:
    """The score as written is engraved from the source itself, whatever its format."""
    if stage.as_written:
        return understood.source.text, understood.source.kind
    return musicxml, "musicxml"


def _noteheads(understood: Understood, stage: Stage, musicxml: str) -> dict[str, tuple[str, ...]]:
    if stage.as_written and understood.source.kind == "musicxml":
        heads = {n.id: tuple(h.id for h in n.noteheads) for n in understood.score.notes}
        return {name: ids for name, ids in heads.items() if len(ids) > 1}
    found: dict[str, list[str]] = {}
    for name, number in re.findall(r'<note\b[^>]*\bid="([^"]+?)\.(\d+)"', musicxml):
        found.setdefault(name, [name]).append(f"{name}.{number}")
    return {name: tuple(ids) for name, ids in found.items()}


def _excerpt(understood: Understood, drawn: Sequence[DrawnStage], slug: str, first: str, last: str) -> System | None:
    chosen = next((d for d in drawn if d.stage.slug == slug), drawn[-1])
    numbers = [b.number for b in understood.score.bars]
    if first not in numbers or last not in numbers:
        return None
    text, notation = _notation_of(understood, chosen.stage, chosen.musicxml)
    return engrave_bars(text, notation, numbers.index(first), len(numbers) - 1 - numbers[::-1].index(last))
