"""A plan of practice to begin from: each main stage on a day of its own, with returns to the one before.

Long pieces are learnt in stretches of about sixteen bars that end with a phrase, the last day plays the whole as
written. What was new on one day comes back two days later for a few minutes, since practice that is spread out lasts
longer than practice at one sitting (Cepeda, Pashler, Vul, Wixted and Rohrer, "Distributed practice in verbal recall
tasks", Psychological Bulletin 132, 2006).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis import Analysis
from sitegen.reduction import Stage
from sitegen.score import Score

STRETCH = 16  # bars of one day's work, as near as phrases allow
LONGEST = 14  # days; what is more is for the teacher to plan
RETURN = 2  # days after which a stage comes back


@dataclass(frozen=True, slots=True)
class DraftedTask:
    """On ``day`` practise ``stage``: all of it, or ``bars`` as printed; ``again`` where it is a return."""

    day: int
    stage: str
    bars: str = ""
    again: bool = False


def draft_plan(score: Score, analysis: Analysis, stages: Sequence[Stage]) -> tuple[DraftedTask, ...]:
    """The days of practice for the main stages of a ladder, at most ``LONGEST``; none for a score without stages."""
    ladder, stretches, _ = _divided(score, analysis, stages)
    new: list[tuple[str, str]] = []
    for stage in ladder:
        # the sparse stages are soon known: the whole at once; the fuller ones stretch by stretch
        whole = stage is ladder[0] or stage.as_written or len(stretches) == 1
        new += [(stage.title, bars) for bars in (("",) if whole and len(stretches) > 1 else stretches)]
    tasks: list[DraftedTask] = []
    for day, (stage_name, bars) in enumerate(new[:LONGEST], 1):
        tasks.append(DraftedTask(day, stage_name, bars))
        if day > RETURN:
            before, its_bars = new[day - 1 - RETURN]
            if before != stage_name:
                tasks.append(DraftedTask(day, before, its_bars, again=True))
    return tuple(tasks)


def left_to_the_teacher(score: Score, analysis: Analysis, stages: Sequence[Stage]) -> tuple[str, ...]:
    """The stretches of a long piece that are no part of its drafted plan, as ``17-32``."""
    return tuple(_divided(score, analysis, stages)[2])


def _divided(score: Score, analysis: Analysis, stages: Sequence[Stage]) -> tuple[list[Stage], list[str], list[str]]:
    """The main stages, the stretches in which they are practised, and those for which there are too few days."""
    ladder = [stage for stage in stages if not stage.side_study and stage.notes]
    stretches = _stretches(score, analysis)
    planned = 1 if len(ladder) * len(stretches) > LONGEST else len(stretches)
    return ladder, stretches[:planned], stretches[planned:]


def _stretches(score: Score, analysis: Analysis) -> list[str]:
    """Stretches of whole phrases, each of about sixteen bars, as ``1-16``; one empty text for a short piece.

    Where a phrase begins with an upbeat, its bar is of both stretches: the last chord of the one before stands there.
    """
    bars = score.bars
    if len(bars) <= STRETCH * 3 // 2:
        return [""]
    starts = sorted({score.bar_at(phrase.onset).index for phrase in analysis.phrases} | {0})
    edges = [0]
    while len(bars) - edges[-1] > STRETCH * 3 // 2:
        wanted = edges[-1] + STRETCH
        later = [start for start in starts if start > edges[-1] + STRETCH // 2]
        near = min(later, key=lambda start: abs(start - wanted), default=wanted)
        edges.append(near if abs(near - wanted) <= STRETCH // 2 else wanted)
    ends = [*(_last_bar_before(edge, score, analysis) for edge in edges[1:]), len(bars) - 1]
    return [f"{bars[first].number}-{bars[last].number}" for first, last in zip(edges, ends, strict=True)]


def _last_bar_before(edge: int, score: Score, analysis: Analysis) -> int:
    """The bar in which the phrase ends that gives way to one that begins in bar ``edge``."""
    first_of_bar = min((p.onset for p in analysis.phrases if score.bar_at(p.onset).index == edge), default=None)
    return edge - 1 if first_of_bar is None else score.bar_at(first_of_bar - 1).index
