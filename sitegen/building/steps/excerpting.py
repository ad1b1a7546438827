"""A few bars drawn, for a commentary or for the gallery."""

from __future__ import annotations

from typing import cast

from sitegen.building.steps.nouns import Outputs, SheetOutline
from sitegen.engraving.engraver import engrave_bars, engrave_incipit
from sitegen.engraving.nouns import Notation


def draw_excerpt(text: str, notation: str, bars: tuple[int, int] | None) -> Outputs:
    """``outline`` and ``svg`` of the bars with these indexes, both included; without them of the first bars of the
    piece. Raises ``EngravingError``."""
    written = cast(Notation, notation)
    sheet = engrave_incipit(text, written) if bars is None else engrave_bars(text, written, *bars)
    return Outputs(outline=SheetOutline.of(sheet), svg=sheet.svg)
