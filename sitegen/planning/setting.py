"""What has to be known of a piece to set some of it: its stages, its bars, and how long each takes to learn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sitegen.places.nouns import BarName
from sitegen.places.stages import StageName
from sitegen.planning.ladder import study_of
from sitegen.planning.nouns import Study
from sitegen.reduction import Stage
from sitegen.score import Score, starting_tempo


@dataclass(frozen=True, slots=True)
class Settable:
    """A piece at a glance. For each stage in order: what it is ``called``, whether it is a main stage of the ladder,
    and its study; ``seconds`` says how long each bar sounds."""

    title: str
    called: tuple[StageName, ...]
    is_main: tuple[bool, ...]
    studies: tuple[Study, ...]
    bars: tuple[BarName, ...]
    seconds: tuple[float, ...]

    def study(self, place: int, name: str, bars: tuple[int, int] | None = None) -> Study:
        """What the stage at this place, or some of its bars, asks to learn: of its time the share that they sound."""
        whole = replace(self.studies[place], name=name)
        if bars is None:
            return whole
        first, last = bars
        seconds = sum(self.seconds[first : last + 1])
        minutes = whole.minutes * seconds / whole.seconds if whole.seconds else 0.0
        within = tuple(joint for joint in whole.joints if first < joint <= last)
        return replace(whole, first=first, last=last, minutes=minutes, seconds=seconds, joints=within)


def settable(
    title: str,
    score: Score,
    stages: Sequence[Stage],
    called: Sequence[StageName],
    bars: Sequence[BarName],
    joints: Sequence[int],
) -> Settable:
    """A piece with these stages, called so, and these bars; ``joints`` are those where phrases begin."""
    ends = [*(bar.onset for bar in score.bars), score.end]
    rate = 60 / starting_tempo(score) / score.ticks_per_quarter
    return Settable(
        title,
        tuple(called),
        tuple(not stage.side_study for stage in stages),
        tuple(study_of(score, stages, stage, joints=joints) for stage in stages),
        tuple(bars),
        tuple((end - start) * rate for start, end in pairwise(ends)),
    )
