"""From a piece that is understood and drawn to the plain data of its pages."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from sitegen import publishing as pages
from sitegen.analysis import Analysis
from sitegen.analysis.chords import key_of
from sitegen.analysis.form import full_bars
from sitegen.analysis.texture import OF_ANY_PIECE
from sitegen.building.plans import PlanWanted, days_of_plan
from sitegen.building.rights import rights_of
from sitegen.building.steps.nouns import Drawn, NoteIds, SheetOutline
from sitegen.building.telling import Teller
from sitegen.library import Piece, to_html
from sitegen.library.links import piece_meant
from sitegen.library.references import read_references
from sitegen.places.naming import first_of_whole, name_bars
from sitegen.places.printing import bar_names
from sitegen.publishing.outputs.midi import midi_file
from sitegen.publishing.outputs.musicxml import musicxml_file
from sitegen.publishing.outputs.pictures import picture_file
from sitegen.publishing.outputs.sheets import sheet_file
from sitegen.publishing.outputs.timing import timing_file
from sitegen.reduction import Stage
from sitegen.score import Bar, Score

_SUPPOSED = frozenset({"sentence"})
"""Forms that figures make as well as tunes do, so that only the teacher is told of them."""


@dataclass(frozen=True, slots=True)
class Music:
    """A score and all that is understood of it."""

    score: Score
    analysis: Analysis


@dataclass(frozen=True, slots=True)
class DrawnStage:
    """A stage with its notes, the ids under which they are drawn, its sheets in each layout, and when it is played."""

    stage: Stage
    heads: NoteIds
    layouts: tuple[Drawn, ...]
    played: Mapping[str, Any]


def lay_out(
    piece: Piece,
    music: Music,
    drawn: Sequence[DrawnStage],
    pictures: Mapping[str, SheetOutline],
    attachments: Mapping[str, str],
    teller: Teller,
    wanted: PlanWanted,
) -> pages.PiecePage:
    """The page data of a piece in the words of ``teller``; files go by their path below ``pieces/<slug>/``.

    ``pictures`` are the excerpts of the commentary by their links, and the incipit under the empty one; ``attachments``
    says where files that the commentary names will lie, ``wanted`` how its plan is made.
    """
    score, matter = music.score, piece.matter
    links = sorted(link for link in pictures if link)
    references = read_references(piece.commentary, piece.commentary_line)[0]
    return pages.PiecePage(
        slug=piece.slug,
        title=(score.title or matter.title) if piece.bare else matter.title,
        composer=matter.composer or score.composer,
        licence=matter.licence,
        stages=tuple(_stage(one, music, teller) for one in drawn),
        bars=_bars(score),
        notes=_score_notes(music, teller),
        staves=tuple(staff.hand or "right" for staff in score.staves),
        harmonies=_harmonies(music, teller),
        tension=_tension(music),
        passages=_passages(music, teller),
        phrases=_phrases(music, teller),
        forms=_forms(music, teller),
        commentary=to_html(piece.commentary),
        summary=matter.summary,
        key=main_key(music),
        tempo=_tempo_text(piece, score, teller),
        incipit=_picture(picture_file(0), pictures[""]),
        excerpts=tuple(
            pages.Excerpt(link, _picture(picture_file(number), pictures[link])) for number, link in enumerate(links, 1)
        ),
        plan=days_of_plan(piece, score, music.analysis, [one.stage for one in drawn], teller, wanted),
        timetable=wanted.timetable,
        place=piece.place,
        tags=(*matter.tags, *([matter.level] if matter.level else [])),
        credit=matter.source,
        attachments={target: quote(path) for target, path in attachments.items()},
        siblings={r.target: named for r in references if (named := piece_meant(r, piece)) is not None},
        level=matter.level,
        period=matter.period,
        added=matter.added or "",
        textures=_textures(music),
        library=piece.origin.credit if piece.origin else "",
        rights=rights_of(piece),
    )


def _picture(file: str, sheet: SheetOutline) -> pages.Drawing:
    return pages.Drawing(file, sheet.width, sheet.height)


def _stage(drawn: DrawnStage, music: Music, teller: Teller) -> pages.StagePage:
    stage, score = drawn.stage, music.score
    names = bar_names(score)
    return pages.StagePage(
        slug=stage.slug,
        title=teller.title(stage),
        listen=teller.listen(stage),
        note_count=len(stage.notes),
        sheets={one.layout: _sheets(stage.slug, one) for one in drawn.layouts},
        midi=midi_file(stage.slug),
        musicxml=musicxml_file(stage.slug),
        timing=timing_file(stage.slug),
        notes=tuple(_stage_notes(drawn, score)),
        played=drawn.played,
        techniques=teller.techniques(stage),
        for_the_teacher=teller.for_the_teacher(stage),
        difficulty=stage.difficulty.value,
        difficulty_parts=stage.difficulty.parts,
        hands=tuple(
            pages.HandInfo(
                report.hand,
                report.widest,
                teller.stretches((names[score.bar_at(p.onset).index], p) for p in report.places),
            )
            for report in stage.hands
        ),
        side_study=stage.side_study,
        as_written=stage.as_written,
        also=teller.called(stage).titles + teller.called(stage).also,
        made_by=stage.techniques,
    )


def _sheets(slug: str, drawn: Drawn) -> tuple[pages.SheetDrawing, ...]:
    return tuple(
        pages.SheetDrawing(
            sheet_file(slug, drawn.layout, number),
            sheet.width,
            tuple(pages.SystemDrawing(row.first_bar, row.last_bar, row.y, row.height) for row in sheet.systems),
        )
        for number, sheet in enumerate(drawn.sheets, 1)
    )


def _stage_notes(drawn: DrawnStage, score: Score) -> list[pages.StageNoteInfo]:
    notes = drawn.stage.notes
    lengths = {ticks: score.quarters(ticks) for ticks in {n.duration for n in notes}}
    found = []
    for n in notes:
        bar = score.bar_at(n.onset)
        found.append(
            pages.StageNoteInfo(
                n.id,
                bar.index,
                score.quarters(n.onset - bar.onset),
                lengths[n.duration],
                n.pitch.name,
                n.midi,
                score.hand_of(n.staff) or "right",
                n.sources,
                drawn.heads.tied.get(n.id, ()),
            )
        )
    return found


def _bars(score: Score) -> tuple[pages.BarInfo, ...]:
    found = []
    for bar, name in zip(score.bars, name_bars(score.bars, score.ticks_per_quarter), strict=True):
        head = score.bars[first_of_whole(score.bars, bar.index, score.ticks_per_quarter)]
        lead = score.quarters(head.lead + bar.onset - head.onset)
        length, beat = score.quarters(bar.length), bar.metre.beat_quarters
        found.append(pages.BarInfo(name.whole, length, beat, lead, bar.metre.name, name.own))
    return tuple(found)


def _score_notes(music: Music, teller: Teller) -> tuple[pages.ScoreNote, ...]:
    score, analysis = music.score, music.analysis
    return tuple(
        pages.ScoreNote(
            n.id, n.bar, score.quarters(n.onset - score.bars[n.bar].onset), score.quarters(n.duration), n.pitch.name,
            analysis.notes[n.id].function, teller.why(analysis.notes[n.id].reasons),
        )
        for n in score.notes
    )  # fmt: skip


def _harmonies(music: Music, teller: Teller) -> tuple[pages.HarmonyInfo, ...]:
    score = music.score
    found = []
    for h in music.analysis.harmonies:
        bar = score.bar_at(h.onset)
        onset = score.quarters(h.onset - bar.onset)
        why, plain = teller.why(h.reasons), teller.why_to_a_pupil(h.reasons)
        found.append(pages.HarmonyInfo(bar.index, onset, h.numeral or "", h.symbol or "", h.key or "", why, plain))
    return tuple(found)


def _phrases(music: Music, teller: Teller) -> tuple[pages.PhraseInfo, ...]:
    return tuple(
        pages.PhraseInfo(*full_bars(music.score, p.onset, p.end), teller.cadence(p.cadence))
        for p in music.analysis.phrases
    )


def _forms(music: Music, teller: Teller) -> tuple[pages.FormInfo, ...]:
    score, phrases = music.score, music.analysis.phrases
    names = bar_names(score)
    found = []
    for form in music.analysis.forms:
        inside = [full_bars(score, p.onset, p.end)[0] for p in phrases if form.onset <= p.onset < form.end]
        words = teller.form(form.kind, names[inside[-1]])
        found.append(pages.FormInfo(*full_bars(score, form.onset, form.end), words, form.kind not in _SUPPOSED))
    return tuple(found)


def _tension(music: Music) -> tuple[pages.TensionInfo, ...]:
    score = music.score
    found = []
    for t in music.analysis.tension:
        bar = score.bar_at(t.onset)
        found.append(pages.TensionInfo(bar.index, score.quarters(t.onset - bar.onset), t.value, t.parts))
    return tuple(found)


def _passages(music: Music, teller: Teller) -> tuple[pages.PassageInfo, ...]:
    score = music.score
    return tuple(
        pages.PassageInfo(score.bar_at(p.onset).index, score.bar_at(p.end - 1).index, teller.passage(p))
        for p in music.analysis.passages
    )


def _textures(music: Music) -> tuple[str, ...]:
    """What the hands do in the passages of the piece, what lasts longest first: by this a piece is looked for, so a
    hand that rests or has the one line that any piece has is nothing, and voices of counterpoint are that and no more.
    """
    lasts: Counter[str] = Counter()
    for passage in music.analysis.passages:
        names = {"counterpoint"} if passage.together == "counterpoint" else {passage.right, passage.left}
        for name in sorted(names - {"", *OF_ANY_PIECE}):
            lasts[name] += passage.duration
    return tuple(name for name, _ in lasts.most_common())


def main_key(music: Music) -> str:
    """The key in which the piece ends on its tonic; but where the key signature is not that key's and the piece begins
    in the one that it is of, as an exposition does, that in which it begins. Else the key that lasts longest."""
    named = [h for h in music.analysis.harmonies if h.key]
    if not named:
        return ""
    first, last = named[0].key or "", named[-1].key or ""
    if _has_signature(first, music.score.bars[0]) and not _has_signature(last, music.score.bars[-1]):
        return first
    if re.match(r"i(?![iv])", named[-1].numeral or "", re.IGNORECASE):
        return last
    lasts: Counter[str] = Counter()
    for h in named:
        lasts[h.key or ""] += h.duration
    return lasts.most_common(1)[0][0]


def _has_signature(key: str, bar: Bar) -> bool:
    """Whether the key signature of a bar is that of a key."""
    tonic, mode = key_of(key)
    return tonic - (3 if mode == "minor" else 0) == bar.fifths


def _tempo_text(piece: Piece, score: Score, teller: Teller) -> str:
    """The tempo word of the start as printed, and the teacher's figure with the note that it counts."""
    word = next((t.text.split("(")[0].split("=")[0].strip(" ♩") for t in score.tempi if t.text), "")
    mark = piece.matter.tempo
    figure = "" if mark is None else teller.tempo(mark.value or "quarter", f"{mark.figure:g}")
    return ", ".join(part for part in (word, figure) if part)
