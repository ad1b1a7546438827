"""From the text of a score to the ``Score``."""

from __future__ import annotations

from typing import cast

from sitegen.building.steps.nouns import NoteIds, Opened, Outputs, ScoreOutline
from sitegen.places.naming import name_bars
from sitegen.score.nouns import Score
from sitegen.score.reading import read_score
from sitegen.score.sources import Source, SourceKind
from sitegen.score.tempo import starting_tempo


def read(text: str, about: Opened) -> Outputs:
    """``score``, ``outline`` and ``heads``, the ids by which the score as written is drawn. Raises ``ScoreError``."""
    score = read_score(Source(cast(SourceKind, about.kind), text, about.file, about.warnings, about.counted))
    bars = tuple(name_bars(score.bars, score.ticks_per_quarter))
    outline = ScoreOutline(len(score.notes), bars, starting_tempo(score))
    return Outputs(score=score, outline=outline, heads=_heads(score))


def _heads(score: Score) -> NoteIds:
    tied = {n.id: tuple(h.id for h in n.noteheads) for n in score.notes if len(n.noteheads) > 1}
    return NoteIds(tuple(n.id for n in score.notes), tied)
