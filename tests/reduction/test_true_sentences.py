"""No sentence that is said of a stage is false: of the demo, of generated scores, and of real ones at hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from sitegen.analysis.analysing import analyse
from sitegen.reduction import build_ladder
from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks.listen_texts import SENTENCES, text_of
from sitegen.score import Score, read_score
from tests.fugue import fugue
from tests.generated_scores import scores
from tests.notation import score_of
from tests.reduction.true_sentences import CHECKERS, untrue

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT.parent / "shared"
SAMPLE = (
    "scores/bach-prelude-bwv-860.mxl",
    "scores/chopin-etudes-op-10-1.mxl",
    "scores/grieg-op43-4.mei",
    "scores/joplin-maple-leaf-rag.mei",
    "scores/schubert-moment-musical-no-3.mxl",
    "harmony/pieces/k545-2/score.mxl",
    "harmony/pieces/song-000/score.mxl",
)

ENTRIES = {message for message in SENTENCES if "subject" in message or "answer" in message or "begins" in message}


def test_every_message_has_its_checker():
    assert set(CHECKERS) == set(SENTENCES)


@pytest.mark.parametrize("file", sorted((ROOT / "content").glob("*/score.musicxml")), ids=lambda file: file.parent.name)
def test_what_is_said_of_the_demo_is_true(file: Path):
    score = read_score(file)
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    assert untrue(score, analysis, stages) == []
    assert sum(bool(stage.listen) for stage in stages) >= len(stages) - 1


def test_what_is_said_of_a_fugue_is_true_and_of_its_entries_in_other_bars_false():
    score = fugue()
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    assert untrue(score, analysis, stages) == []
    of_entries = [stage for stage in stages if stage.sentence and stage.sentence.message in ENTRIES]
    assert len(of_entries) >= 8
    for wrong in ({"bar": "4"}, {"bars": "1, 2, 4"}, {"count": "5"}, {"to_bar": "5"}):
        for stage in of_entries:
            fields = tuple((name, wrong.get(name, text)) for name, text in stage.sentence.fields)
            if fields != stage.sentence.fields:
                assert untrue(score, analysis, (replace(stage, sentence=replace(stage.sentence, fields=fields)),))


def test_the_checkers_tell_subject_from_answer_and_real_from_tonal():
    score = fugue()
    analysis = analyse(score)
    other = {"with the subject": "with the answer", "with the answer": "with the subject", "tonal": "real"}
    turned = []
    for stage in build_ladder(score, analysis):
        message = stage.sentence.message if stage.sentence else ""
        for one, changed in other.items():
            if one in message:
                sentence = replace(stage.sentence, message=message.replace(one, changed))
                turned.append(replace(stage, sentence=sentence, listen=text_of(sentence)))
    assert len(turned) == len(untrue(score, analysis, tuple(turned))) == 3


# a ladder takes a while, and the sentence itself tells what was wrong: examples are not made smaller
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow], phases=[Phase.generate])
@given(scores())
def test_what_is_said_of_a_generated_score_is_true(score: Score):
    analysis = analyse(score)
    assert untrue(score, analysis, build_ladder(score, analysis)) == []


@pytest.mark.parametrize("name", SAMPLE)
def test_what_is_said_of_a_real_score_is_true(name: str):
    if not (SHARED / name).exists():
        pytest.skip(f"{SHARED / name} is not here")
    score = read_score(SHARED / name)
    analysis = analyse(score)
    assert untrue(score, analysis, build_ladder(score, analysis)) == []


@pytest.mark.parametrize(
    ("left", "is_true"),
    [
        ("C2q C3h. | C3w | C3w | C2w", True),
        ("C3q C2h. | C3w | C3w | C2w", False),
        ("C2q C3h. | C2w | C3w | C2w", False),
        ("C2w | C3w | C3w | C3w", False),
    ],
)
def test_the_bass_may_come_to_the_note_on_which_it_stays_within_the_first_bar(left, is_true):
    score = score_of(right="G4w C5 C5 G4", left=left)
    analysis = analyse(score)
    written = build_ladder(score, analysis)[-1]
    stays = Sentence("bass stays", (("note", "C"), ("bar", "1"), ("to_bar", "3")))
    assert (untrue(score, analysis, (replace(written, sentence=stays),)) == []) is is_true


def test_the_checkers_see_a_false_bar_and_a_false_note():
    score = read_score(ROOT / "content/waltz-in-e-minor/score.musicxml")
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    for wrong in ({"bar": "12", "bars": "12 and 13"}, {"note": "A flat", "last": "A flat", "bar": "12"}):
        told = []
        for stage in stages:
            if stage.sentence is not None:
                fields = tuple((name, wrong.get(name, text)) for name, text in stage.sentence.fields)
                sentence = replace(stage.sentence, fields=fields)
                stage = replace(stage, sentence=sentence, listen=text_of(sentence))
            told.append(stage)
        assert len(untrue(score, analysis, tuple(told))) >= sum(bool(stage.listen) for stage in stages) - 1
