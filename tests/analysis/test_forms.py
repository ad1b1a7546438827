"""Periods, sentences and returns, where they are plain."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis.form.cadences import HALF, IMPERFECT, PERFECT
from sitegen.analysis.form.forms import find_forms
from sitegen.analysis.nouns import Phrase
from tests.notation import score_of

OPENING = "C5q D5 E5 F5 | G5h E5"
ON_G = "G5q A5 B5 C6 | D6h B5"
HALFWAY, HOME, OTHER = "A5q G5 F5 E5 | D5w", "F5q E5 D5 B4 | C5w", "A5h F5 | B5q G5 D5 B4"


def forms(text, *cadences, bars=4):
    score = score_of(right=text)
    length = bars * score.bars[0].length
    phrases = [Phrase(k * length, length, cadence) for k, cadence in enumerate(cadences)]
    return [(f.kind, f.onset // score.bars[0].length, f.end // score.bars[0].length) for f in found(score, phrases)]


def found(score, phrases):
    return find_forms(score, phrases, [note for note in score.sounding() if note.staff == 1])


PERIOD = f"{OPENING} | {HALFWAY} | {OPENING} | {HOME}"


def test_two_phrases_that_set_out_alike_and_close_more_firmly_are_a_period():
    assert forms(PERIOD, HALF, PERFECT) == [("period", 0, 8)]
    assert forms(PERIOD, IMPERFECT, PERFECT) == [("period", 0, 8)]


def test_no_period_without_a_firmer_close_or_without_one_beginning():
    assert forms(PERIOD, PERFECT, HALF) == []
    assert forms(PERIOD, "", PERFECT) == []
    assert forms(f"{OPENING} | {HALFWAY} | {ON_G} | {HOME}", HALF, PERFECT) == []


def test_an_idea_that_comes_again_and_is_led_to_a_cadence_is_a_sentence():
    text = f"{OPENING} | {ON_G} | {OTHER} | {HOME}"
    assert forms(text, "", PERFECT) == [("sentence", 0, 8)]
    assert forms(text, PERFECT, bars=8) == [("sentence", 0, 8)]
    assert forms(text, "", "") == []
    assert forms(f"{OPENING} | {ON_G} | {OPENING} | {HOME}", "", PERFECT) == []


def test_the_theme_returns_after_something_else_at_its_own_pitch():
    middle = f"{OTHER} | {HALFWAY}"
    text = f"{OPENING} | {HOME} | {middle} | {OPENING} | {HOME}"
    assert forms(text, PERFECT, HALF, PERFECT) == [("return", 8, 12)]
    assert forms(text.replace(f"{middle} | {OPENING}", f"{middle} | {ON_G}"), PERFECT, HALF, PERFECT) == []


def test_phrases_with_an_upbeat_are_a_period_too():
    score = score_of(right=f"G4q | {PERIOD.replace('D5w', 'D5h. G4q')}")
    start = score.bars[0].length
    half = start + 4 * 16 - 4
    phrases = [Phrase(0, half, HALF), Phrase(half, score.end - half, PERFECT)]
    # the upbeat of the second phrase lies in the last bar of the first
    assert [form.kind for form in found(score, phrases)] == ["period"]
    assert found(score, [replace(phrases[0], cadence=""), phrases[1]]) == ()
