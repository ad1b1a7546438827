"""From a prepared piece to the plain data of its pages, and the files that lie beside them."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Sequence
from typing import Any, cast
from urllib.parse import quote

from sitegen import publishing as pages
from sitegen.building.contract import analysis_object
from sitegen.building.preparing import DrawnStage, Prepared, Understood
from sitegen.building.telling import Teller
from sitegen.engraving import Sheet, Timing
from sitegen.errors import ContentError, FaultsError, located
from sitegen.library import Piece, PractiseMatter
from sitegen.library.attachments import attachments_of
from sitegen.library.links import piece_named
from sitegen.library.references import read_references
from sitegen.notation import without_page_layout
from sitegen.places.bars import find_bars
from sitegen.places.naming import first_of_whole, name_bars
from sitegen.places.nouns import BarName
from sitegen.places.parsing import parse_bars
from sitegen.places.printing import bar_names
from sitegen.places.stages import StageName, find_stage
from sitegen.publishing.nouns import LayoutName
from sitegen.score import Score


def lay_out(
    piece: Piece, prepared: Prepared, commentary: str, teller: Teller
) -> tuple[pages.PiecePage, dict[str, bytes]]:
    """The page data of a piece in the words of ``teller``, and its files by their path below ``pieces/<slug>/``."""
    understood = prepared.understood
    files: dict[str, bytes] = {"incipit.svg": prepared.incipit.svg.encode()}
    files["analysis.json"] = as_json(analysis_object(understood.score, understood.analysis, understood.stages))
    stages = tuple(_stage(drawn, understood, files, teller) for drawn in prepared.drawn)
    excerpts = []
    for number, (link, sheet) in enumerate(sorted(prepared.excerpts.items()), 1):
        name = f"excerpts/{number}.svg"
        files[name] = sheet.svg.encode()
        excerpts.append(pages.Excerpt(link, pages.Drawing(name, sheet.width, sheet.height)))
    references = read_references(piece.commentary, piece.commentary_line)[0]
    attachments = attachments_of(piece, references)[0]
    for attached in attachments:
        files[attached.path] = attached.file.read_bytes()
    score, matter = understood.score, piece.matter
    incipit = pages.Drawing("incipit.svg", prepared.incipit.width, prepared.incipit.height)
    page = pages.PiecePage(
        slug=piece.slug,
        title=(score.title or matter.title) if piece.bare else matter.title,
        composer=matter.composer or score.composer,
        licence=matter.licence,
        stages=stages,
        bars=_bars(score),
        notes=_score_notes(understood, teller),
        staves=tuple(staff.hand or "right" for staff in score.staves),
        harmonies=_harmonies(understood),
        tension=_tension(understood),
        passages=_passages(understood, teller),
        commentary=commentary,
        summary=matter.summary,
        key=_main_key(understood),
        tempo=_tempo_text(piece, understood, teller),
        incipit=incipit,
        excerpts=tuple(excerpts),
        plan=plan_of(piece, understood, teller),
        tags=(*matter.tags, *([matter.level] if matter.level else [])),
        credit=matter.source,
        attachments={attached.target: quote(attached.path) for attached in attachments},
        siblings={r.target: named for r in references if (named := piece_named(r)) is not None},
    )
    return page, files


def as_json(value: Any) -> bytes:
    """Compact JSON, the same bytes for the same value."""
    return (json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n").encode()


def timing_object(timing: Timing, drawn: DrawnStage, score: Score) -> dict[str, Any]:
    """What is played of a stage: seconds at the piece's own tempo, repeats unfolded, rounded to tenths of a
    millisecond."""
    staff_of = {n.id: n.staff for n in drawn.stage.notes}
    beat = [score.bars[p.bar].metre.beat_quarters for p in timing.bars]
    tempo: list[dict[str, float]] = []
    for played, unit in zip(timing.bars, beat, strict=True):
        speed = round(played.beats_a_minute / float(unit), 2)
        if not tempo or tempo[-1]["beats_a_minute"] != speed:
            tempo.append({"at": round(played.on, 4), "beats_a_minute": speed})
    return {
        "contract": 1,
        "notes": [
            {
                "id": n.id,
                "on": round(n.on, 4),
                "off": round(n.off, 4),
                "midi": n.midi,
                "hand": score.hand_of(staff_of[n.id]) or "right",
                "bar": n.bar,
            }
            for n in timing.notes
        ],
        "bars": [{"bar": p.bar, "on": round(p.on, 4), "off": round(p.off, 4)} for p in timing.bars],
        "tempo": tempo,
        "length": round(timing.length, 4),
    }


def _stage(drawn: DrawnStage, understood: Understood, files: dict[str, bytes], teller: Teller) -> pages.StagePage:
    stage, engraving, score = drawn.stage, drawn.engraving, understood.score
    names = bar_names(score)
    folder = f"stages/{stage.slug}"
    sheets = {
        cast(LayoutName, layout): tuple(
            _sheet(f"{folder}/{layout}-{number}.svg", sheet, files) for number, sheet in enumerate(drawn_sheets, 1)
        )
        for layout, drawn_sheets in engraving.sheets.items()
    }
    files[f"{folder}/stage.mid"] = engraving.midi
    files[f"{folder}/stage.musicxml"] = without_page_layout(drawn.musicxml).encode()
    return pages.StagePage(
        slug=stage.slug,
        title=teller.title(stage),
        listen=teller.listen(stage),
        note_count=len(stage.notes),
        sheets=sheets,
        midi=f"{folder}/stage.mid",
        musicxml=f"{folder}/stage.musicxml",
        timing=f"{folder}/timing.json",
        notes=tuple(_stage_notes(drawn, score)),
        played=timing_object(engraving.timing, drawn, score),
        techniques=teller.techniques(stage),
        difficulty=stage.difficulty.value,
        difficulty_parts=stage.difficulty.parts,
        hands=tuple(
            pages.HandInfo(
                report.hand,
                report.widest,
                tuple(teller.stretch(names[score.bar_at(p.onset).index], p) for p in report.places),
            )
            for report in stage.hands
        ),
        side_study=stage.side_study,
        as_written=stage.as_written,
        also=teller.called(stage).titles + teller.called(stage).also,
    )


def _sheet(name: str, sheet: Sheet, files: dict[str, bytes]) -> pages.SheetDrawing:
    files[name] = sheet.svg.encode()
    rows = (pages.SystemDrawing(row.first_bar, row.last_bar, row.y, row.height) for row in sheet.systems)
    return pages.SheetDrawing(name, sheet.width, tuple(rows))


def _stage_notes(drawn: DrawnStage, score: Score) -> list[pages.StageNoteInfo]:
    found = []
    for n in drawn.stage.notes:
        bar = score.bar_at(n.onset)
        found.append(
            pages.StageNoteInfo(
                n.id,
                bar.index,
                score.quarters(n.onset - bar.onset),
                score.quarters(n.duration),
                n.pitch.name,
                n.midi,
                score.hand_of(n.staff) or "right",
                n.sources,
                drawn.noteheads.get(n.id, ()),
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


def _score_notes(understood: Understood, teller: Teller) -> tuple[pages.ScoreNote, ...]:
    score, analysis = understood.score, understood.analysis
    return tuple(
        pages.ScoreNote(
            n.id, n.bar, score.quarters(n.onset - score.bars[n.bar].onset), score.quarters(n.duration), n.pitch.name,
            analysis.notes[n.id].function, teller.why(analysis.notes[n.id]),
        )
        for n in score.notes
    )  # fmt: skip


def _harmonies(understood: Understood) -> tuple[pages.HarmonyInfo, ...]:
    score = understood.score
    found = []
    for h in understood.analysis.harmonies:
        bar = score.bar_at(h.onset)
        onset = score.quarters(h.onset - bar.onset)
        found.append(pages.HarmonyInfo(bar.index, onset, h.numeral or "", h.symbol or "", h.key or "", h.why))
    return tuple(found)


def _tension(understood: Understood) -> tuple[pages.TensionInfo, ...]:
    score = understood.score
    found = []
    for t in understood.analysis.tension:
        bar = score.bar_at(t.onset)
        found.append(pages.TensionInfo(bar.index, score.quarters(t.onset - bar.onset), t.value, t.parts))
    return tuple(found)


def _passages(understood: Understood, teller: Teller) -> tuple[pages.PassageInfo, ...]:
    score = understood.score
    return tuple(
        pages.PassageInfo(score.bar_at(p.onset).index, score.bar_at(p.end - 1).index, teller.passage(p))
        for p in understood.analysis.passages
    )


def _main_key(understood: Understood) -> str:
    """The key in which the piece ends on its tonic, else the key that lasts longest."""
    named = [h for h in understood.analysis.harmonies if h.key]
    if not named:
        return ""
    last = named[-1]
    if last.key and re.match(r"i(?![iv])", last.numeral or "", re.IGNORECASE):
        return last.key
    lasts: Counter[str] = Counter()
    for h in named:
        lasts[h.key or ""] += h.duration
    return lasts.most_common(1)[0][0]


def _tempo_text(piece: Piece, understood: Understood, teller: Teller) -> str:
    """The tempo word of the start as printed, and the teacher's figure with the note that it counts."""
    word = next((t.text.split("(")[0].split("=")[0].strip(" ♩") for t in understood.score.tempi if t.text), "")
    mark = piece.matter.tempo
    figure = "" if mark is None else teller.tempo(mark.value or "quarter", f"{mark.figure:g}")
    return ", ".join(part for part in (word, figure) if part)


def plan_of(piece: Piece, understood: Understood, teller: Teller) -> tuple[pages.PlanDay, ...]:
    """The plan by days. A stage goes by its lasting name, its technique, or its title, in English too.

    Raises ``ContentError`` (file, line) for a stage or bars that are not there, ``FaultsError`` for several.
    """
    known = [teller.called(stage) for stage in understood.stages]
    names = name_bars(understood.score.bars, understood.score.ticks_per_quarter)
    days: dict[int, list[pages.PlanTask]] = {}
    faults: list[ContentError] = []
    for line, number in zip(piece.matter.practise, piece.practise_lines, strict=True):
        try:
            with located(piece.file, number):
                task = _task(line, known, names)
        except ContentError as fault:
            faults.append(fault)
            continue
        days.setdefault(line.day, []).append(task)
    if faults:
        raise faults[0] if len(faults) == 1 else FaultsError(faults)
    return tuple(pages.PlanDay(str(day), tuple(tasks)) for day, tasks in sorted(days.items()))


def _task(line: PractiseMatter, known: Sequence[StageName], names: Sequence[BarName]) -> pages.PlanTask:
    stage = known[find_stage(line.stage, known)]
    text = stage.titles[0] + (f", {line.note}" if line.note else "")
    if not line.bars:
        return pages.PlanTask(text, stage.name)
    first, last = find_bars(names, parse_bars(line.bars))
    bars = tuple(dict.fromkeys((names[first].whole, names[last].whole)))
    return pages.PlanTask(text, stage.name, bars, first, last)
