"""The reader gives back exactly what a file was written from."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings

from sitegen.score import Note, Score, read_score
from tests.generated_scores import Plan, musicxml_of, plans, score_of_plan, scores


def _reread(plan: Plan) -> Score:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "score.musicxml"
        path.write_text(musicxml_of(plan), encoding="utf-8")
        return read_score(path)


def _in_quarters(score: Score) -> list[tuple[Note, Fraction, Fraction, list[tuple[str, int, Fraction, Fraction]]]]:
    return [
        (
            replace(note, onset=0, duration=0, noteheads=(), chord=""),
            score.quarters(note.onset),
            score.quarters(note.duration),
            [(h.id, h.bar, score.quarters(h.onset), score.quarters(h.duration)) for h in note.noteheads],
        )
        for note in score.notes
    ]


@settings(max_examples=60, deadline=None)
@given(plans())
def test_what_is_written_is_read(plan: Plan) -> None:
    assert _in_quarters(_reread(plan)) == _in_quarters(score_of_plan(plan))


@settings(max_examples=25, deadline=None)
@given(plans())
def test_bars_keep_metre_key_and_length(plan: Plan) -> None:
    score = _reread(plan)
    assert [(b.number, b.metre, b.fifths, score.quarters(b.length), b.lead) for b in score.bars] == [
        (str(i + 1), plan.metre, plan.fifths, plan.metre.quarters, 0) for i in range(len(plan.bars))
    ]


@settings(max_examples=60, deadline=None)
@given(scores())
def test_generated_notes_lie_within_their_score(score: Score) -> None:
    assert all(0 <= note.onset <= note.end <= score.end for note in score.notes)
    assert all(sum(h.duration for h in note.noteheads) == note.duration for note in score.notes)
