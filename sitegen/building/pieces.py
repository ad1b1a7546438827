"""A piece made: every stage written, played and drawn, then the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from sys import intern
from typing import Any

from sitegen.building.asking import Studio, called, without_place
from sitegen.building.faults import fault_of, is_passing
from sitegen.building.looking import FIRST, Looked, Understood, idle_wishes, look_at, read_score
from sitegen.building.plans import plan_wanted
from sitegen.building.rights import score_file
from sitegen.building.scheduling import InOnePlace, Plan
from sitegen.building.steps import table
from sitegen.building.steps.running import ONE, read_value
from sitegen.building.steps.stages import StageAtAGlance
from sitegen.building.steps.table import Call
from sitegen.checking import Finding, findings_of
from sitegen.errors import ContentError
from sitegen.library import Piece, to_html
from sitegen.library.attachments import attachments_of
from sitegen.library.references import read_references
from sitegen.places.addresses import parse_link
from sitegen.places.bars import find_bars
from sitegen.places.stages import find_stage
from sitegen.publishing import excerpt_links, render_lists
from sitegen.publishing.outputs.nouns import (
    OfAttachment,
    OfCardPicture,
    OfMusic,
    OfPicture,
    OfPlayed,
    OfSheet,
    folder_of,
    taken,
)
from sitegen.publishing.outputs.registry import taken_of

LONG = 2_500
"""Notes of a stage from which on each layout is drawn by itself: loading its text once more is little beside it."""


@dataclass(frozen=True, slots=True)
class MadePiece:
    """What was found in a piece; of one that can be published the digests of its files by their path below
    ``pieces/<slug>/``, of its card, and of its entry in the listing of the site. ``passing`` as of ``Outcome``."""

    findings: tuple[Finding, ...]
    files: Mapping[str, str] = field(default_factory=dict)
    card: str = ""
    entry: str = ""
    passing: bool = False

    @property
    def is_published(self) -> bool:
        """Whether there is something to publish."""
        return bool(self.files)


@dataclass(frozen=True, slots=True)
class _Stage:
    """The digests of a stage that is made: the text that is drawn with its notation, the ids in it, its layouts in
    order, when it is played, and what is published of it."""

    text: str
    notation: str
    heads: str
    drawn: tuple[str, ...]
    played: str
    performed: OfPlayed
    sheets: tuple[OfSheet, ...]


def make_piece(piece: Piece, studio: Studio) -> Plan:
    """Everything of a piece, as ``MadePiece``."""
    looked, _ = yield [look_at(piece, studio), _begin_drawing(piece, studio)]
    idle, made = yield [idle_wishes(piece, studio, looked), make_pages(piece, studio, looked)]
    findings = (*looked.findings, *idle, *made.findings)
    if any(finding.severity == "error" for finding in findings):
        untold = any(finding.severity == "error" for finding in idle)
        return MadePiece(findings, passing=looked.passing or made.passing or untold)
    return MadePiece(findings, made.files, made.card, made.entry)


def make_pages(piece: Piece, studio: Studio, looked: Looked) -> Plan:
    """The files of a piece that has been looked at, where nothing keeps it from being published: ``MadePiece``, with
    what was found meanwhile."""
    if looked.understood is None or not looked.is_publishable:
        return MadePiece(())
    try:
        return (yield from _publish(piece, studio, looked.understood))
    except Exception as error:
        return MadePiece(findings_of(fault_of(error, piece), "error", piece.slug), passing=is_passing(error))


def _begin_drawing(piece: Piece, studio: Studio) -> Plan:
    """Draw the score as written and its first bars as soon as it is read, while it is analysed. What goes wrong is told
    elsewhere."""
    try:
        read = yield from read_score(piece, piece.matter.score, studio)
        yield [
            _drawing("as written", read.text, read.about.kind, read.heads, read.outline.notes, studio.layouts),
            _excerpt(read.text, read.about.kind, None),
        ]
    except Exception:
        return


def _publish(piece: Piece, studio: Studio, understood: Understood) -> Plan:
    tempo = piece.matter.tempo.quarters_a_minute if piece.matter.tempo else understood.read.outline.tempo
    music: dict[str, Any] = {"score": understood.read.score, "analysis": understood.analysis}
    ladder: dict[str, Any] = {"stages": understood.stages, "notes": understood.notes}
    rungs = understood.rungs
    written, *stages = yield [
        Call(table.ANALYSIS_FILE, music | ladder, weight=understood.read.outline.notes),
        *(_make_stage(piece, studio, understood, rung, tempo) for rung in rungs),
    ]
    bars = _excerpts(piece, studio, understood)
    chosen = {"": (len(rungs) - 1, None), **bars}
    pictures = yield [
        called(_excerpt(stages[at].text, stages[at].notation, these), piece) for at, these in chosen.values()
    ]
    attached = {
        a.target: a for a in attachments_of(piece.file, read_references(piece.commentary, piece.commentary_line)[0])[0]
    }
    inputs = {
        "piece": studio.put(without_place(piece)),
        "studio": studio.put(studio.page),
        **music,
        **ladder,
        "heads": tuple(stage.heads for stage in stages),
        "drawn": tuple(digest for stage in stages for digest in stage.drawn),
        "played": tuple(stage.played for stage in stages),
        "pictures": tuple(picture["outline"] for picture in pictures),
        "words": studio.put(studio.teller.words),
        "plan": studio.put(plan_wanted(piece.matter, studio.matter)),
    }
    said = {
        "links": list(chosen),
        "attachments": {target: a.path for target, a in attached.items()},
        "theme": studio.theme,
        "work": studio.works.get(piece.slug, ""),
    }
    pages = dict((yield from called(Call(table.PAGES, inputs, said, weight=FIRST), piece)))
    card, entry = pages.pop("card"), pages.pop("entry")
    slug, below = piece.slug, folder_of(piece.slug)
    found = taken(taken_of(OfMusic), [OfMusic(slug, written[ONE])])
    found |= taken(taken_of(OfPlayed), [stage.performed for stage in stages])
    found |= taken(taken_of(OfSheet), [sheet for stage in stages for sheet in stage.sheets])
    found |= taken(taken_of(OfPicture), [OfPicture(slug, n, picture["svg"]) for n, picture in enumerate(pictures)])
    if studio.page.address:
        shown = yield from called(Call(table.CARD_PICTURE, {"svg": pictures[0]["svg"], "card": card}), piece)
        found |= taken(taken_of(OfCardPicture), [OfCardPicture(slug, shown[ONE])])
    data = [(a.path, studio.store.put(a.file.read_bytes())) for a in attached.values()]
    if offered := score_file(piece):
        data.append((offered, studio.store.put(piece.score.read_bytes())))
    found |= taken(taken_of(OfAttachment), [OfAttachment(slug, path, digest) for path, digest in data])
    files = {path.removeprefix(below): digest for path, digest in found.items()} | pages
    lists = render_lists(files, below)
    files |= {path.removeprefix(below): studio.store.put(list_) for path, list_ in lists.items()}
    # most names are the same in every piece, and are held once for all
    return MadePiece((), {intern(path): digest for path, digest in files.items()}, card, entry)


def _make_stage(piece: Piece, studio: Studio, understood: Understood, rung: StageAtAGlance, tempo: float) -> Plan:
    """A stage as ``_Stage``: the score as written is drawn from the source itself, whatever its notation."""
    read, slug = understood.read, rung.slug
    notes = understood.ladder[f"{slug}/notes"]
    source = rung.as_written and read.about.kind == "musicxml"
    writing = Call(table.NOTATION, {"score": read.score, "notes": notes}, part=slug, weight=FIRST // 2 + rung.notes)
    written = None if source else (yield from called(writing, piece))
    if written is None:
        text, notation, heads = read.text, "musicxml", read.heads
    else:
        text, notation, heads = written["text"], "musicxml", written["heads"]
    titled = Call(table.MUSICXML, {"text": text}, {"title": rung.title}, part=slug)
    musicxml = (yield from called(titled, piece))[ONE]
    if written is not None and rung.as_written:
        text, notation, heads = read.text, read.about.kind, read.heads
    drawing = _drawing(slug, text, notation, heads, rung.notes, studio.layouts)
    play = _Playing(read.score, notes, heads, slug, rung.notes)
    if rung.as_written and written is not None:
        played, drawn = yield [called(play.call(written["text"], written["heads"]), piece), drawing]
    elif rung.notes < LONG:
        ((played, *drawn),) = yield [
            InOnePlace((play.call(text, None), *_drawings(slug, text, notation, heads, rung.notes, studio.layouts)))
        ]
    else:
        played, drawn = yield [called(play.call(text, None), piece), drawing]
    if source and not read_value(studio.store, played["keeps_time"], bool):
        written = yield from called(writing, piece)
        played = yield from called(play.call(written["text"], written["heads"]), piece)
    inputs = {"performance": played["performance"], "score": read.score, "notes": notes}
    performed = yield from called(Call(table.PERFORMANCE, inputs, {"tempo": tempo}, part=slug), piece)
    layouts = {name: outputs for made in drawn for name, outputs in made.items()}
    named = [(name.partition("/"), digest) for name, digest in layouts.items()]
    sheets = tuple(
        OfSheet(piece.slug, slug, layout, int(number), digest) for (layout, _, number), digest in named if number
    )
    published = OfPlayed(piece.slug, slug, performed["midi"], musicxml)
    drawings = tuple(layouts[name] for name in studio.layouts)
    return _Stage(text, notation, heads, drawings, performed["played"], published, sheets)


@dataclass(frozen=True, slots=True)
class _Playing:
    """What the playing of a stage needs, whatever text is played."""

    score: str
    notes: str
    heads: str
    part: str
    size: int

    def call(self, text: str, written: str | None) -> Call:
        """The stage played from ``text``; ``written`` are the ids in it where it is not the text that is drawn."""
        inputs = {"text": text, "score": self.score, "notes": self.notes, "heads": self.heads, "written": written}
        return Call(table.PLAYING, inputs, {"notation": "musicxml"}, self.part, self.size)


def _drawing(part: str, text: str, notation: str, heads: str, notes: int, layouts: tuple[str, ...]) -> Plan:
    """What the drawings of a stage give, in a list."""
    calls = _drawings(part, text, notation, heads, notes, layouts)
    made: list[dict[str, str]] = yield list(calls)
    return made


def _drawings(
    part: str, text: str, notation: str, heads: str, notes: int, layouts: tuple[str, ...]
) -> tuple[Call, ...]:
    """A stage drawn in all ``layouts``; a long one in each by itself, so that several can work on it."""
    groups = [layouts] if notes < LONG else [(name,) for name in layouts]
    return tuple(
        Call(
            table.DRAWING,
            {"text": text, "heads": heads},
            {"notation": notation, "layouts": list(names)},
            f"{part} {names[0]}" if len(names) == 1 else part,
            10 * notes // len(groups),
        )
        for names in groups
    )


def _excerpt(text: str, notation: str, bars: tuple[int, int] | None) -> Call:
    """A few bars drawn; the first ones where no others are named."""
    return Call(table.EXCERPT, {"text": text}, {"notation": notation, "bars": bars})


def _excerpts(piece: Piece, studio: Studio, understood: Understood) -> dict[str, tuple[int, tuple[int, int]]]:
    """The excerpts of the commentary by their links, in order: the place of the stage, and the bars. Those that lead
    nowhere are told elsewhere."""
    found: dict[str, tuple[int, tuple[int, int]]] = {}
    for link in sorted(excerpt_links(to_html(piece.commentary))):
        try:
            address = parse_link(link)
            bars = find_bars(understood.read.outline.bars, address.bars)
            known = [studio.teller.called(rung.stage) for rung in understood.rungs]
            found[link] = (find_stage(address.stage, known) if address.stage else len(known) - 1), bars
        except ContentError:
            continue
    return found
