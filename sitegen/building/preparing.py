"""One piece through every step that costs time: read, understood, reduced, written, engraved. All of it is cached."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis import Analysis, analyse
from sitegen.building.cache import Cache
from sitegen.building.keys import key
from sitegen.building.telling import Teller
from sitegen.engraving import Engraving, Notation, Sheet, engrave, engrave_bars, engrave_incipit, keeps_time
from sitegen.errors import ContentError, FaultsError, ScoreError, SitegenError
from sitegen.library import Piece
from sitegen.notation import write_stage
from sitegen.places.addresses import parse_link
from sitegen.places.bars import find_bars
from sitegen.places.naming import name_bars
from sitegen.places.stages import find_stage
from sitegen.reduction import (
    Stage,
    Wish,
    Wishes,
    build_ladder,
    parse_what_can_be,
    readings_of,
    unmatched,
    without_effect,
)
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
    incipit: Sheet
    excerpts: dict[str, Sheet]


def understand(piece: Piece, span: int, cache: Cache, teller: Teller | None = None) -> Understood:
    """Read, analyse and reduce a piece for a hand of ``span`` semitones, with the teacher's adjustments. By ``teller``
    stages are understood in the library's language too.

    Raises ``ScoreError`` or ``ContentError`` naming file and place, or ``FaultsError`` where several adjustments
    are not understood, or match nothing, or two things.
    """
    source = _open(piece, cache)
    base = key("understood", source.text, source.kind, piece.score.name, *source.warnings)
    score, analysis = cache.get_or_make(base, lambda: _read(source))
    if not score.notes:
        raise ScoreError("holds no notes", "Check the export: only rests were found.", piece.score)
    wishes = read_wishes(piece, span, teller, score)
    wished = _digest_of_wishes(piece, span, teller)
    if wishes.readings:
        readings = readings_of(score, wishes)
        analysis = cache.get_or_make(key("readings", base, wished), lambda: analyse(score, readings))
    stages = cache.get_or_make(key("ladder", base, wished), lambda: build_ladder(score, analysis, wishes))
    return Understood(source, score, analysis, stages, _tempo(piece, score))


def _open(piece: Piece, cache: Cache) -> Source:
    """The source of the score, mended; a file that cannot be read is told of by ``open_source``."""
    try:
        data = piece.score.read_bytes()
    except OSError:
        return open_source(piece.score)
    return cache.get_or_make(key("source", data, piece.score.as_posix()), lambda: open_source(piece.score))


def without_effect_of(
    piece: Piece, understood: Understood, span: int, cache: Cache, teller: Teller
) -> list[ContentError]:
    """A word on every adjustment of ``piece`` that changes nothing. Raises as ``understand`` does."""
    source, score = understood.source, understood.score
    name = key("idle", source.text, source.kind, score.file, _digest_of_wishes(piece, span, teller))
    return cache.get_or_make(name, lambda: without_effect(score, read_wishes(piece, span, teller, score)))


def _tempo(piece: Piece, score: Score) -> float:
    """Quarters a minute: the teacher's, else the score's."""
    return piece.matter.tempo.quarters_a_minute if piece.matter.tempo else starting_tempo(score)


def read_wishes(piece: Piece, span: int, teller: Teller | None = None, score: Score | None = None) -> Wishes:
    """The teacher's adjustments and stages, for a hand of ``span`` semitones; stages of her own are read. With the
    ``score`` of the piece their places are looked for in it.

    Raises ``ContentError`` with file and line, ``ScoreError`` for a stage's score that cannot be read, or
    ``FaultsError`` for several of these, all that there are.
    """
    own, told, lines = {}, list[SitegenError](), set[int | None]()
    for name, line in _own_files(piece):
        file = (piece.folder / name).resolve()
        try:
            if not file.is_relative_to(piece.folder.resolve()) or not file.is_file():
                raise ContentError(
                    f"'{name}' is not there", "Put it in the folder of the piece.", piece.file, line=line
                )
            own[name] = read_score(file)
        except SitegenError as error:
            told.append(error)
            lines.add(line)
    adjustments = [Wish(a.value, a.line) for a in piece.adjustments]
    stages = [Wish(s.value, s.line) for s in piece.stages]
    in_english = teller.in_english if teller else str
    wishes, faults = parse_what_can_be(adjustments, str(piece.file), stages, own, span, in_english)
    told += [fault for fault in faults.found if fault.line not in lines]
    if score is not None:
        told += unmatched(score, wishes)
    if told:
        told.sort(key=lambda fault: fault.line or 0)
        raise told[0] if len(told) == 1 else FaultsError(told)
    return wishes


def _own_files(piece: Piece) -> list[tuple[str, int]]:
    """The names, and their lines, of the scores that the teacher gives as stages of her own."""
    entries = [(s.value, s.line) for s in piece.stages if isinstance(s.value, dict)]
    return [(str(value["file"]), line) for value, line in entries if value.get("file")]


def prepare(understood: Understood, excerpts: Sequence[str], cache: Cache, teller: Teller) -> Prepared:
    """Everything about a piece that pages need. ``excerpts`` are links to the bars that are shown in the commentary.
    Raises ``ScoreError``, ``ContentError`` or ``EngravingError``.
    """
    drawn = tuple(_draw(understood, stage, _written(understood, stage, cache), cache) for stage in understood.stages)
    last = drawn[-1]
    text, notation = _notation_of(understood, last.stage, last.musicxml)
    incipit = cache.get_or_make(key("incipit", text, notation), lambda: engrave_incipit(text, notation))
    pictures = {link: _excerpt(understood, drawn, link, teller, cache) for link in excerpts}
    return Prepared(understood, drawn, incipit, {k: v for k, v in pictures.items() if v is not None})


def _read(source: Source) -> tuple[Score, Analysis]:
    score = read_score(source)
    return score, analyse(score)


def _digest_of_wishes(piece: Piece, span: int, teller: Teller | None) -> str:
    digest = hashlib.sha256(repr((piece.stages, piece.adjustments, span)).encode())
    if teller is not None and (piece.stages or piece.adjustments):
        digest.update(repr(teller.words.group("stage")).encode())
    for name, _ in _own_files(piece):
        file = piece.folder / name
        digest.update(file.read_bytes() if file.is_file() else b"")
    return digest.hexdigest()


_TITLE = re.compile(r"<(movement-title|work-title)>[^<]*</\1>")


def _written(understood: Understood, stage: Stage, cache: Cache) -> str:
    """A stage as MusicXML, made from its notes and its title; the score as written is the source itself where that is
    MusicXML."""
    source, score = understood.source, understood.score
    if stage.as_written and source.kind == "musicxml":
        return source.text
    name = key("written", source.text, source.kind, score.file, stage.slug, stage.title, repr(stage.notes))
    return cache.get_or_make(name, lambda: write_stage(score, stage))


def _draw(understood: Understood, stage: Stage, musicxml: str, cache: Cache) -> DrawnStage:
    """A stage drawn and played. Engraving goes by the text that it receives, but for the title, which is not drawn: a
    stage whose notes did not change is not engraved again."""
    text, notation = _notation_of(understood, stage, musicxml)
    played = None if text == musicxml else musicxml
    pitches = {n.id: n.midi for n in stage.notes}
    lengths = [float(understood.score.quarters(b.length)) for b in understood.score.bars]
    tempo = understood.tempo

    def engraved() -> tuple[Engraving, dict[str, tuple[str, ...]]]:
        again = played
        if again is None and stage.as_written and not keeps_time(text, notation, lengths):
            again = write_stage(understood.score, stage)
        written = _heads_written(again or musicxml, frozenset(pitches))
        drawn = _heads_of_source(understood.score) if stage.as_written else written
        tied = {name: (*drawn.get(name, ()), *written.get(name, ())) for name in drawn | written} if again else drawn
        return engrave(text, notation, pitches, lengths, tempo, tied, again), drawn

    numbers = repr((stage.as_written, sorted(pitches.items()), lengths, tempo))
    name = key("engraved", _TITLE.sub("", text), notation, _TITLE.sub("", played or ""), numbers)
    engraving, drawn = cache.get_or_make(name, engraved)
    return DrawnStage(stage, musicxml, engraving, drawn)


def _notation_of(understood: Understood, stage: Stage, musicxml: str) -> tuple[str, Notation]:
    """The score as written is engraved from the source itself, whatever its format."""
    if stage.as_written:
        return understood.source.text, understood.source.kind
    return musicxml, "musicxml"


def _heads_of_source(score: Score) -> dict[str, tuple[str, ...]]:
    return {n.id: tuple(h.id for h in n.noteheads) for n in score.notes if len(n.noteheads) > 1}


def _heads_written(musicxml: str, notes: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """The heads of tied notes as ``write_stage`` names them: the note's id, and after a dot their number."""
    found: dict[str, list[str]] = {}
    for name, number in re.findall(r'<note\b[^>]*\bid="([^"]+)\.(\d+)"', musicxml):
        head = f"{name}.{number}"
        if name in notes and head not in notes:
            found.setdefault(name, [name]).append(head)
    return {name: tuple(ids) for name, ids in found.items()}


def _excerpt(
    understood: Understood, drawn: Sequence[DrawnStage], link: str, teller: Teller, cache: Cache
) -> Sheet | None:
    score = understood.score
    try:
        address = parse_link(link)
        first, last = find_bars(name_bars(score.bars, score.ticks_per_quarter), address.bars)
        known = [teller.called(one.stage) for one in drawn]
        chosen = drawn[find_stage(address.stage, known) if address.stage else -1]
    except ContentError:
        return None
    text, notation = _notation_of(understood, chosen.stage, chosen.musicxml)
    name = key("excerpt", _TITLE.sub("", text), notation, repr((first, last)))
    return cache.get_or_make(name, lambda: engrave_bars(text, notation, first, last))
