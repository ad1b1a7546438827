"""Phrases end where a musician breathes, and cadences have their names."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.analysis.cadences import DECEPTIVE, HALF, IMPERFECT, PERFECT, PLAGAL, cadence_at
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.phrases import find_phrases
from tests.notation import score_of

CHORDS = {  # numeral: pitch classes, bass, root, all in C major
    "I": ({0, 4, 7}, 0, 0),
    "I6": ({0, 4, 7}, 4, 0),
    "Cad64": ({0, 4, 7}, 7, 7),
    "ii6": ({2, 5, 9}, 5, 2),
    "IV": ({5, 9, 0}, 5, 5),
    "V": ({7, 11, 2}, 7, 7),
    "V7": ({7, 11, 2, 5}, 7, 7),
    "V65": ({7, 11, 2, 5}, 11, 7),
    "vi": ({9, 0, 4}, 9, 9),
    "viio6": ({11, 2, 5}, 2, 11),
}


def chords(text, length=16):
    found = []
    for i, numeral in enumerate(text.split()):
        tones, bass, root = CHORDS[numeral]
        found.append(Harmony(i * length, length, frozenset(tones), bass, root, "C major", numeral))
    return tuple(found)


def bars_of(score, phrases):
    return [float(score.quarters(p.onset) / score.bars[0].metre.quarters) for p in phrases]


@pytest.mark.parametrize(
    ("text", "melody", "name"),
    [
        ("V7 I", 0, PERFECT),
        ("V7 I", 4, IMPERFECT),
        ("V65 I", 0, IMPERFECT),
        ("V7 I6", 0, IMPERFECT),
        ("viio6 I", 0, IMPERFECT),
        ("ii6 V", 2, HALF),
        ("I V", 2, HALF),
        ("Cad64 V", 2, HALF),
        ("V7 vi", 0, DECEPTIVE),
        ("IV I", 0, PLAGAL),
    ],
)
def test_each_cadence_has_its_name(text, melody, name):
    cadence = cadence_at(chords(text), 1, melody)
    assert cadence is not None
    assert (cadence.kind, cadence.arrival) == (name, 16)


@pytest.mark.parametrize("text", ["ii6 V7", "I IV", "V V7", "I vi", "ii6 V65", "I I6"])
def test_what_closes_nothing_is_no_cadence(text):
    assert cadence_at(chords(text), 1, 0) is None


def test_the_first_chord_and_unknown_harmony_make_no_cadence():
    assert cadence_at(chords("I"), 0, 0) is None
    assert cadence_at((Harmony(0, 4), *chords("I")), 1, 0) is None


PERIOD = "C5q D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 E5 | D5h. rq | C5q D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 D5 | C5h. rq"


def test_a_period_of_eight_bars_is_two_phrases_half_and_perfect():
    score = score_of(right=PERIOD)
    found = find_phrases(score, chords("I I IV V I I V7 I"), {})
    assert bars_of(score, found) == [0, 4]
    assert [p.cadence for p in found] == [HALF, PERFECT]


def test_a_phrase_takes_its_upbeat_with_it():
    half = "C5q D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 E5 | D5h. "
    text = f"G4q | {half} G4q | {half}"
    found = find_phrases(score_of(right=text), (), {})
    assert [p.onset for p in found] == [0, 16 * 4]


def test_without_pauses_the_cadences_and_parallel_beginnings_decide():
    figure = "C5e E5 G5 E5 C5 E5 G5 E5 | C5e F5 A5 F5 C5 F5 A5 F5 | D5e F5 G5 F5 D5 F5 G5 F5 | C5e E5 G5 E5 C5 E5 G5 E5"
    score = score_of(right=f"{figure} | {figure}")
    assert bars_of(score, find_phrases(score, chords("I IV V7 I I IV V7 I"), {})) == [0, 4]


def test_a_fermata_ends_a_phrase_before_its_usual_length():
    score = score_of(right="C5q D5 E5 F5 | G5q F5 E5 F5^ | F5q E5 D5 C5 | B4q D5 C5h^")
    assert [float(score.quarters(p.onset)) for p in find_phrases(score, (), {})] == [0, 8]


@pytest.mark.parametrize("text", ["rw", "C5w", "C5g C5w"])
def test_a_bar_of_rest_or_one_note_is_one_phrase_without_cadence(text):
    [phrase] = find_phrases(score_of(right=text), (), {})
    assert (phrase.onset, phrase.duration, phrase.cadence) == (0, 16, "")


@given(st.lists(st.sampled_from(["C4e", "E4q", "G3h", "rq", "C4+E4q", "B2s", "D5g", "C5q^"]), max_size=60))
def test_the_phrases_follow_each_other_without_gap(notes):
    score = score_of(right=" ".join(notes) or "rw")
    found = find_phrases(score, (), {})
    assert found[0].onset == 0
    assert found[-1].end == score.end
    assert all(a.end == b.onset and a.duration > 0 for a, b in pairwise(found))
