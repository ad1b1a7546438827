"""How long a stage takes to learn: by what it adds to the stage before, and by how long it is.

A stage's difficulty is a rate: things to do a second (a note, the other hand at the same time, a stretch, a leap, an
altered key). Times the seconds of the piece it is how many things there are to learn. The ladder is nested, so what the
stage before had is known: only what a stage adds is new. To this comes going through the whole of it, slowly.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sitegen.planning.nouns import Study
from sitegen.reduction import Stage
from sitegen.score import Score, starting_tempo

NEW_THING = 30.0
"""Seconds of practice that a new thing takes: some ten times slowly, with what stands before and after it."""
THROUGH = 4.0
"""How often as long as it sounds going through a stage takes: twice, at half of the tempo."""
LEAST_NEW = 0.2
"""The part of a stage that is new even where it is no harder than the one before: other fingers, another balance."""


def studies_of(score: Score, stages: Sequence[Stage], joints: Sequence[int] = ()) -> tuple[Study, ...]:
    """What the main stages of a ladder ask to learn, in order, named by their lasting names. ``joints`` are the bars
    where phrases begin. A stage without notes asks for nothing."""
    return tuple(
        study_of(score, stages, stage, joints=joints) for stage in stages if not stage.side_study and stage.notes
    )


def study_of(
    score: Score,
    stages: Sequence[Stage],
    stage: Stage,
    bars: tuple[int, int] | None = None,
    joints: Sequence[int] = (),
    name: str = "",
) -> Study:
    """What a stage, or some of its bars, asks to learn. A side study is measured by the main stage before it."""
    first, last = bars or _bars_of(score, stage)
    seconds = _seconds(score, first, last)
    before = [other for other in stages[: stages.index(stage)] if not other.side_study]
    known = before[-1].difficulty.value if before else 0.0
    rate = stage.difficulty.value
    # the rate is over the whole piece, the things of a stage of some bars all lie in these
    spread = _seconds(score, 0, len(score.bars) - 1) / (_seconds(score, *_bars_of(score, stage)) or 1.0)
    new = max(rate - known, LEAST_NEW * rate) * spread * seconds
    within = tuple(joint for joint in joints if first < joint <= last)
    return Study(name or stage.slug, first, last, (new * NEW_THING + THROUGH * seconds) / 60, seconds, within)


def _bars_of(score: Score, stage: Stage) -> tuple[int, int]:
    onsets = [note.onset for note in stage.notes]
    if stage.as_written or not onsets:
        return 0, len(score.bars) - 1
    return score.bar_at(min(onsets)).index, score.bar_at(max(onsets)).index


def _seconds(score: Score, first: int, last: int) -> float:
    ends = [*(bar.onset for bar in score.bars), score.end]
    ticks = sum(end - start for start, end in pairwise(ends[first : last + 2]))
    return ticks / score.ticks_per_quarter * 60 / starting_tempo(score)
