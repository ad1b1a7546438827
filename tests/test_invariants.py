"""The seven invariants of the design, on the studio's pieces, on generated scores and on real ones.

1. Each bar of each stage is filled exactly, in each staff. 2 to 6 are checked note by note in
``tests/reduction/invariants.py``. 7. Making everything twice gives the same.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from sitegen.analysis import Analysis, analyse
from sitegen.notation import write_stage
from sitegen.reduction import Stage, build_ladder
from sitegen.score import Score, read_score
from tests.generated_scores import scores
from tests.reduction.invariants import violations
from tests.writing.reading_back import faults_in_bars, read_bars

ROOT = Path(__file__).resolve().parents[1]
SHARED = ROOT.parent / "shared" / "scores"
DEMO = sorted(ROOT.glob("content/*/score.musicxml"))
REAL = [SHARED / name for name in ("bach-prelude-bwv-854.mxl", "grieg-op43-4.mei")]

Made = tuple[Score, Analysis, tuple[Stage, ...]]


def _made(score: Score) -> Made:
    analysis = analyse(score)
    return score, analysis, tuple(build_ladder(score, analysis))


def _is_sound(made: Made) -> None:
    score, analysis, stages = made
    assert violations(score, analysis, stages) == []
    for stage in stages:
        text = write_stage(score, stage)
        assert faults_in_bars(text, score) == [], stage.slug
        assert _ids_written(text) >= {note.id for note in stage.notes}, stage.slug


def _ids_written(text: str) -> set[str]:
    return {head for bar in read_bars(text) for event in bar.events for head in event.heads}


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.parent.name)
def test_ladder_of_a_piece_of_the_studio_is_sound(path: Path) -> None:
    _is_sound(_made(read_score(path)))


@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_ladder_of_a_real_score_is_sound(path: Path) -> None:
    if not path.is_file():
        pytest.skip("../shared/scores is not there")
    _is_sound(_made(read_score(path)))


@settings(max_examples=12, deadline=None)
@given(scores())
def test_ladder_of_a_generated_score_is_sound(score: Score) -> None:
    _is_sound(_made(score))


@settings(max_examples=5, deadline=None)
@given(scores())
def test_making_a_ladder_twice_gives_the_same(score: Score) -> None:
    assert _made(score) == _made(score)
    stages = _made(score)[2]
    assert [write_stage(score, stage) for stage in stages] == [write_stage(score, stage) for stage in stages]


def test_a_broken_ladder_is_seen() -> None:
    """A check that cannot fail is none: each kind of damage is found."""
    score, analysis, stages = _made(read_score(DEMO[0]))
    last, first = stages[-1], stages[0]
    assert violations(score, analysis, (*stages[:-1], replace(last, notes=last.notes[1:])))
    longer = replace(first.notes[0], duration=first.notes[0].duration + score.bars[0].length * 8)
    assert violations(score, analysis, (replace(first, notes=(longer, *first.notes[1:])), *stages[1:]))
    other = replace(first.notes[0], pitch=replace(first.notes[0].pitch, alter=first.notes[0].pitch.alter + 1))
    assert violations(score, analysis, (replace(first, notes=(other, *first.notes[1:])), *stages[1:]))
    text = write_stage(score, first)
    assert faults_in_bars(text.replace("<backup>", "<forward>").replace("</backup>", "</forward>"), score)
