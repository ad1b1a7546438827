"""What is written is read again: the same notes in the same bars, whatever was generated, composed or found."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings

from sitegen.notation import write_stage
from sitegen.reduction.nouns import Stage
from sitegen.score import Score, read_score
from tests.generated_scores import scores
from tests.writing.reading_back import faults_in_bars, stage_of, without_voices

ROOT = Path(__file__).parents[2]
DEMO = sorted(ROOT.glob("content/*/*.musicxml"))
SHARED = ROOT.parent / "shared" / "scores"
# one of each format, a study full of odd tuplets, and pieces in many voices
REAL = ["liszt-transcendental-etudes-1.mxl", "grieg-op43-4.mei", "beethoven-sonata20-2.krn", "bach-prelude-bwv-876.mxl",
        "beethoven-piano-sonatas-21-2.mxl"]  # fmt: skip

Row = tuple[int, Fraction, Fraction, int, bool]


def _rows(score: Score) -> Counter[Row]:
    return Counter(
        (n.bar, score.quarters(n.onset - score.bars[n.bar].onset), score.quarters(n.duration), n.midi, n.grace)
        for n in score.notes
    )


def _reread(score: Score, stage: Stage) -> Score:
    text = write_stage(score, stage)
    assert faults_in_bars(text, score) == []
    with TemporaryDirectory() as folder:
        path = Path(folder) / "stage.musicxml"
        path.write_text(text, encoding="utf-8")
        return read_score(path)


def bar_numbers(score: Score) -> list[str]:
    """The numbers that come back: an upbeat that MEI or Humdrum calls bar 1 is bar 0 in MusicXML."""
    late = bool(score.bars and score.bars[0].lead and score.bars[0].number == "1")
    return [str(int(b.number) - 1) if late and b.number.isdigit() else b.number for b in score.bars]


def _comes_back(score: Score, stage: Stage) -> None:
    back = _reread(score, stage)
    assert _rows(back) == _rows(score)
    assert [back.quarters(b.length) for b in back.bars] == [score.quarters(b.length) for b in score.bars]
    assert [b.number for b in back.bars] == bar_numbers(score)
    assert [(b.metre, b.fifths) for b in back.bars] == [(b.metre, b.fifths) for b in score.bars]


@settings(max_examples=25, deadline=None)
@given(scores())
def test_generated_score_comes_back(score: Score) -> None:
    _comes_back(score, stage_of(score))


@settings(max_examples=12, deadline=None)
@given(scores())
def test_generated_notes_without_voices_come_back(score: Score) -> None:
    _comes_back(score, without_voices(stage_of(score)))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.parent.name)
def test_piece_of_the_studio_comes_back(path: Path) -> None:
    score = read_score(path)
    _comes_back(score, stage_of(score))
    _comes_back(score, without_voices(stage_of(score)))


@pytest.mark.parametrize("name", REAL)
def test_real_score_comes_back(name: str) -> None:
    if not (SHARED / name).is_file():
        pytest.skip("../shared/scores is not there")
    score = read_score(SHARED / name)
    _comes_back(score, stage_of(score))
