"""A few notes engraved: from the one-line notation to what verovio made of it."""

from __future__ import annotations

import re

from sitegen.engraving import Engraving, engrave
from sitegen.notation import write_stage
from sitegen.score import Score
from tests.notation import score_of
from tests.writing.reading_back import stage_of


def engraved(
    right: str = "", left: str = "", metre: str = "4/4", tempo: float | None = 60, score: Score | None = None
) -> Engraving:
    """The engraving of these notes, at ``tempo`` quarters a minute; ids as in ``tests/notation.py``."""
    score = score or score_of(right=right, left=left, metre=metre)
    stage = stage_of(score)
    lengths = [float(score.quarters(b.length)) for b in score.bars]
    text = write_stage(score, stage)
    heads: dict[str, list[str]] = {}
    for name, number in re.findall(r'<note id="(\w+(?:\.\d+)?)\.(\d+)"', text):
        if f"{name}.{number}" not in {n.id for n in stage.notes}:
            heads.setdefault(name, [name]).append(f"{name}.{number}")
    return engrave(text, "musicxml", {n.id: n.midi for n in stage.notes}, lengths, tempo, heads)


def played(engraving: Engraving) -> str:
    """The notes in the order they begin, with seconds: ``"C4 0-1, E4 1-2"``."""
    return ", ".join(f"{n.id} {n.on:.3g}-{n.off:.3g}" for n in engraving.timing.notes)
