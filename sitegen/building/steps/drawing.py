"""A stage drawn."""

from __future__ import annotations

from typing import cast

from sitegen.building.steps.nouns import Drawn, Heads, Outputs, Row
from sitegen.engraving.engraver import draw
from sitegen.engraving.nouns import Notation


def draw_stage(text: str, notation: str, heads: Heads, layouts: tuple[str, ...]) -> Outputs:
    """Of each layout ``<layout>`` (``Drawn``) and ``<layout>/1``, ``<layout>/2`` ..., the drawings of its systems.
    Raises ``EngravingError``."""
    made = Outputs()
    for layout, systems in draw(text, cast(Notation, notation), layouts, heads.all).items():
        made[layout] = Drawn(layout, tuple(Row(s.first_bar, s.last_bar, s.width, s.height) for s in systems))
        for number, system in enumerate(systems, 1):
            made[f"{layout}/{number}"] = system.svg
    return made
