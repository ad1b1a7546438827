"""The ladder as a page that a teacher reads: each stage with its name, notes, difficulty, hands and sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sitegen.reduction.nouns import HandReport, Stage
from sitegen.score import Score
from sitegen.score.intervals import interval_name

SHOWN = 6  # bars with wide stretches that are named


def describe_ladder(score: Score, stages: Sequence[Stage]) -> str:
    """The whole page, ending in a line break."""
    return "\n".join(["The ladder, fewest notes first", *(line for s in stages for line in _stage(score, s)), ""])


def _stage(score: Score, stage: Stage) -> Iterator[str]:
    side = ", side study" if stage.side_study else ""
    notes = f"{len(stage.notes)} {'note' if len(stage.notes) == 1 else 'notes'}"
    yield f"  {stage.title} ({stage.slug}{side}): {notes}, difficulty {stage.difficulty.value:.1f}"
    hands = "; ".join(_hand(score, report) for report in stage.hands if report.widest)
    if hands:
        yield f"    {hands}"
    if stage.listen:
        yield f"    {stage.listen}"


def _hand(score: Score, report: HandReport) -> str:
    words = f"{report.hand} hand: {interval_name(report.widest)} at the widest"
    bars = list(dict.fromkeys(score.bar_at(place.onset).number for place in report.places))
    if not bars:
        return words
    more = f" and {len(bars) - SHOWN} more" if len(bars) > SHOWN else ""
    return f"{words}, beyond its span in bar{'s' if len(bars) > 1 else ''} {', '.join(bars[:SHOWN])}{more}"
