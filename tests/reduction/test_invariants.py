"""The invariants of the design on every stage: of generated scores, and of real ones where they are at hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sitegen.analysis.analysing import analyse
from sitegen.reduction import build_ladder
from sitegen.reduction.wishes import Wishes
from sitegen.score import Score, read_score
from tests.generated_scores import scores
from tests.notation import score_of
from tests.reduction.invariants import violations

SHARED = Path(__file__).resolve().parents[3] / "shared"
# of different textures and formats; tests/benchmarks/ladder_everything.py goes through all of them
SAMPLE = (
    "scores/bach-fugue-bwv-848.mxl",
    "scores/chopin-etudes-op-10-1.mxl",
    "scores/grieg-op43-4.mei",
    "scores/joplin-maple-leaf-rag.mei",
    "scores/schubert-moment-musical-no-3.mxl",
    "harmony/pieces/k545-2/score.mxl",
    "harmony/pieces/song-000/score.mxl",
    "harmony/pieces/wtc1-prelude-21/score.mxl",
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scores(), st.sampled_from([10, 12, 14]))
def test_every_ladder_of_a_generated_score_holds(score: Score, span: int):
    analysis = analyse(score)
    stages = build_ladder(score, analysis, Wishes(hand=span))
    assert violations(score, analysis, stages, span) == []


@pytest.mark.parametrize("name", SAMPLE)
def test_every_ladder_of_a_real_score_holds(name):
    if not (SHARED / name).exists():
        pytest.skip(f"{SHARED / name} is not here")
    score = read_score(SHARED / name)
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    assert violations(score, analysis, stages) == []
    assert 4 <= len([stage for stage in stages if not stage.side_study]) <= 7


def test_the_checker_sees_what_is_broken():
    score = score_of(right="E5q D5 C5h | G5h E5h", left="C4e G4 E4 G4 C4 G4 E4 G4 | C4 G4 E4 G4 C4 G4 E4 G4")
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    assert violations(score, analysis, stages) == []
    first = stages[0]
    ladder = [stage for stage in stages if not stage.side_study]

    def broken(**changes):
        notes = (replace(first.notes[0], **changes), *first.notes[1:])
        return " ".join(violations(score, analysis, (replace(first, notes=notes), *stages[1:])))

    assert "no source" in broken(sources=())
    assert "pitch of none" in broken(pitch=replace(first.notes[0].pitch, step="B"))
    assert "another octave" in broken(pitch=replace(first.notes[0].pitch, octave=7))
    assert "longer than its sources" in broken(onset=score.end // 2, duration=score.end // 2 + 1)
    assert "before the first of its sources" in broken(sources=("G4.2",), pitch=replace(first.notes[0].pitch, step="G"))
    assert "there is no bass at tick 0" in broken(onset=4)
    assert "the lowest note at tick 0 is 67, not 60" in broken(
        sources=("G4",), pitch=replace(first.notes[0].pitch, step="G")
    )
    assert "kept no more" in " ".join(violations(score, analysis, (ladder[-2], *stages)))
    assert "does not hold" in " ".join(
        violations(score, analysis, (*stages[:-1], replace(stages[-1], notes=stages[-1].notes[1:])))
    )
    assert "occurs twice" in " ".join(violations(score, analysis, (first, *stages)))
