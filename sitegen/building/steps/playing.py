"""A stage played at the tempo of its text."""

from __future__ import annotations

from typing import cast

from sitegen.building.steps.nouns import NoteIds, Outputs
from sitegen.engraving.engraver import play
from sitegen.engraving.nouns import Notation
from sitegen.reduction import StageNote
from sitegen.score.nouns import Score


def play_stage(
    text: str, notation: str, score: Score, notes: tuple[StageNote, ...], heads: NoteIds, written: NoteIds | None
) -> Outputs:
    """``performance`` of ``text``, and whether it ``keeps_time``. ``written`` are the ids of a text that is played in
    place of the one that is drawn: a note goes by its heads in both. Raises ``EngravingError``."""
    lengths = [float(score.quarters(bar.length)) for bar in score.bars]
    tied = heads.tied
    if written is not None:
        tied = {name: (*tied.get(name, ()), *written.tied.get(name, ())) for name in tied | written.tied}
    performance = play(text, cast(Notation, notation), {n.id: n.midi for n in notes}, lengths, tied)
    return Outputs(performance=performance, keeps_time=performance.keeps_time)
