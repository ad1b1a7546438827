"""A piece of three bars as pages know it, without any engraving."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from sitegen.publishing import (
    BarInfo,
    Drawing,
    Excerpt,
    HandInfo,
    HarmonyInfo,
    PassageInfo,
    PiecePage,
    ScoreNote,
    SheetDrawing,
    StageNoteInfo,
    StagePage,
    SystemDrawing,
)


def three_bars(commentary: str = "") -> PiecePage:
    """An upbeat of a crotchet and two bars of 3/4; two stages."""
    bass = stage("bass-line", StageNoteInfo("b1", 1, Fraction(0), Fraction(3), "Bb2", 46, "left", ("n2", "n3")))
    written = replace(
        stage("as-written", StageNoteInfo("n1", 0, Fraction(0), Fraction(1), "F4", 65, "right", ("n1",))),
        as_written=True,
    )
    return PiecePage(
        slug="three-bars",
        title="Three <Bars>",
        composer="The tests",
        licence="CC0 1.0",
        stages=(bass, written),
        bars=(
            BarInfo("0", Fraction(1), lead=Fraction(2), metre="3/4"),
            BarInfo("1", Fraction(3), metre="3/4"),
            BarInfo("2", Fraction(3), metre="3/4"),
        ),
        notes=(ScoreNote("n1", 0, Fraction(0), Fraction(1), "F4", "chord tone"),),
        harmonies=(HarmonyInfo(1, Fraction(0), "I", "Bb", "Bb major"),),
        passages=(PassageInfo(0, 1, "melody over <chords>"), PassageInfo(2, 2, "broken chords in both hands")),
        commentary=commentary,
        key="Bb major",
        excerpts=(Excerpt("bars:1-2/bass-line", Drawing("excerpts/1.svg", 300, 80)),),
    )


def stage(slug: str, note: StageNoteInfo) -> StagePage:
    rows = (SystemDrawing(0, 0, 0, 200), SystemDrawing(1, 2, 240, 180.5))
    sheet = SheetDrawing(f"stages/{slug}/phone-1.svg", 860, rows)
    return StagePage(
        slug=slug,
        title=slug.replace("-", " ").capitalize(),
        listen="Listen <well>.",
        note_count=1,
        sheets={"phone": (sheet,), "wide": (replace(sheet, file=f"stages/{slug}/wide-1.svg"),)},
        midi=f"stages/{slug}/stage.mid",
        musicxml=f"stages/{slug}/stage.musicxml",
        timing=f"stages/{slug}/timing.json",
        notes=(note,),
        hands=(HandInfo("left", 12, ("bar 1: a ninth, rolled",)),),
    )
