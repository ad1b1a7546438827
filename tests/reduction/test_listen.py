"""Sentences on what to listen for come from this very piece."""

from __future__ import annotations

import string

import pytest

from sitegen.analysis.nouns import Analysis
from sitegen.reduction import build_ladder
from sitegen.reduction.listen import text_of
from sitegen.reduction.listen_texts import SENTENCES
from sitegen.reduction.material import gather
from sitegen.reduction.remarks import bass, harmony, melody, outer
from sitegen.reduction.remarks.wording import key_name
from tests.notation import score_of
from tests.reduction.reading import read


def remark(make, score, analysis, stage=0):
    stages = build_ladder(score, analysis)
    return [text_of(sentence) for sentence in make(gather(score, analysis), stages[stage])]


def test_a_bass_that_falls_by_step_is_named_with_its_bar():
    score = score_of(right="E5w E5w E5w E5w", left="C4w B3w A3w G3w")
    analysis = read(score, "CEG:4 BEG:4 ACE:4 GCE:4")
    assert remark(bass.steps, score, analysis) == ["The bass falls by step from bar 1, from C down to G."]


def test_a_bass_that_stays_and_one_that_comes_home():
    score = score_of(right="E5w F5w E5w D5w E5w", left="C3w C3w C3w G3w C3w")
    analysis = read(score, "CEG:4 CFA:4 CEG:4 GBD:4 CEG:4")
    assert remark(bass.pedal, score, analysis) == [
        "The bass stays on C from bar 1 to bar 3, while the music above it moves."
    ]
    assert remark(bass.homecoming, score, analysis) == ["In bar 5 the bass goes from G to C: the music comes home."]


def test_parallel_tenths_are_counted():
    score = score_of(right="E5q F5 G5 A5", left="C4q D4 E4 F4")
    analysis = read(score, "CE:1 DF:1 EG:1 FA:1")
    assert remark(outer.parallels, score, analysis, 1) == [
        "Melody and bass move in parallel tenths from bar 1: 4 in a row."
    ]


def test_voices_that_move_apart():
    score = score_of(right="C5q D5 E5 G5", left="C4q B3 A3 G3")
    analysis = read(score, "C:1 BD:1 AE:1 G:1")
    assert remark(outer.contrary, score, analysis, 1) == [
        "From bar 1 the melody rises to G while the bass falls: the voices move apart."
    ]


def test_an_appoggiatura_leans_on_its_resolution():
    score = score_of(right="C5w C5w C5w B4q A4h. E5w", left="A3w A3w A3w A3w A3w")
    analysis = read(score, "ACE:20", functions={"B4": "appoggiatura > A4"})
    assert remark(melody.leaning, score, analysis, -1) == ["The B in bar 4 leans on the A."]


def test_graces_signs_and_passing_notes_of_the_melody():
    score = score_of(right="C5q D5 E5!trill F#5 F#5g G5w", left="C3w C3w")
    functions = {"D5": "passing note > E5", "Fs5": "passing note > G5"}
    said = remark(melody.decorated, score, read(score, "CEG:8", functions=functions), -1)
    assert said == [
        "The E in bar 1 has a trill: the melody itself stays on that note.",
        "A grace note decorates the G in bar 2.",
        "The D in bar 1 only passes by on the way to the E.",
        "The F sharp in bar 1 only passes by on the way to the G.",
    ]


def test_where_the_harmony_quickens_and_the_key_changes():
    score = score_of(right="E5w D5q D5 D5 D5 D5w", left="C3w G3q G3 G3 G3 G3w")
    analysis = read(score, "CEG:4 GBD:1 DF#A:1 GBD:1 DF#A:1 GBD:4")
    turned = tuple(h if h.onset < 16 else type(h)(**{**_fields(h), "key": "G major"}) for h in analysis.harmonies)
    analysis = Analysis(turned, analysis.notes)
    assert remark(harmony.quickening, score, analysis) == [
        "In bar 2 the harmony changes 4 times, more often than before."
    ]
    assert remark(harmony.new_key, score, analysis) == ["From bar 2 the music is in G major."]


def _fields(value):
    return {name: getattr(value, name) for name in value.__slots__}


def test_no_two_stages_say_the_same():
    score = score_of(right="E5q D5e C5 B4q C5 | G5q F5e E5 D5h", left="C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3h")
    stages = build_ladder(score, read(score, "CEG:4 GBD/B:4", functions={"D5": "passing note > C5"}))
    assert len({stage.listen for stage in stages}) == len(stages)
    assert all(stage.sentence is not None and text_of(stage.sentence) == stage.listen for stage in stages)


def test_keys_are_said_in_words():
    assert key_name("F# minor") == "F sharp minor"
    assert key_name("Bb major") == "B flat major"


@pytest.mark.parametrize("message", SENTENCES)
def test_every_sentence_names_its_bar_or_its_chord(message):
    fields = {name for _, name, _, _ in string.Formatter().parse(SENTENCES[message]) if name}
    assert fields & {"bar", "bars", "chord"}
