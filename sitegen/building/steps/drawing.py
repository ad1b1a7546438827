"""A stage drawn."""

from __future__ import annotations

from typing import cast

from sitegen.building.steps.nouns import Drawn, NoteIds, Outputs, SheetOutline
from sitegen.engraving.engraver import draw
from sitegen.engraving.nouns import Notation


def draw_stage(text: str, notation: str, heads: NoteIds, layouts: tuple[str, ...]) -> Outputs:
    """Of each layout ``<layout>`` (``Drawn``) and ``<layout>/1``, ``<layout>/2`` ..., the drawings of its sheets.
    Raises ``EngravingError``."""
    made = Outputs()
    for layout, sheets in draw(text, cast(Notation, notation), layouts, heads.all).items():
        made[layout] = Drawn(layout, tuple(map(SheetOutline.of, sheets)))
        for number, sheet in enumerate(sheets, 1):
            made[f"{layout}/{number}"] = sheet.svg
    return made
