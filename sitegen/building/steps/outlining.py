"""A piece at a glance, for who sets some of it."""

from __future__ import annotations

from sitegen.analysis import Analysis
from sitegen.building.steps.stages import whole
from sitegen.building.telling import Teller
from sitegen.places.naming import name_bars
from sitegen.planning.setting import Settable, settable
from sitegen.publishing.messages import Catalogue
from sitegen.reduction import Stage, StageNote
from sitegen.score.nouns import Score


def outline_piece(
    score: Score,
    analysis: Analysis,
    stages: tuple[Stage, ...],
    notes: tuple[tuple[StageNote, ...], ...],
    words: Catalogue,
    title: str,
) -> Settable:
    """Its stages as they are called in the library's language, its bars, and how long each takes to learn. ``title`` is
    empty where the score's own holds."""
    ladder, teller = whole(stages, notes), Teller(words)
    joints = sorted({score.bar_at(phrase.onset).index for phrase in analysis.phrases})
    called = [teller.called(stage) for stage in ladder]
    return settable(title or score.title, score, ladder, called, name_bars(score.bars, score.ticks_per_quarter), joints)
