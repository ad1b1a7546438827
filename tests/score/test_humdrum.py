"""Humdrum ``**kern``: each thing a score may hold, in a few notes."""

from __future__ import annotations

import pytest

from sitegen.errors import ScoreError
from tests.score.files import kern, read, said

PIANO = ("**kern  **kern", "*staff2  *staff1", "*clefF4  *clefG2", "*k[]  *k[]", "*M4/4  *M4/4", "=1  =1")


def test_two_spines_are_two_hands() -> None:
    score = read(kern(*PIANO, "1C  1c", "==  =="), ".krn")
    assert said(score, lambda n: f"{n.staff}") == ["C3 0 4 2, C4 0 4 1"]
    assert [s.hand for s in score.staves] == ["right", "left"]


def test_an_upbeat_chords_and_a_signature() -> None:
    score = read(kern("**kern", "*clefG2", "*k[f#]", "*M3/4", "4d", "=1", "2.g 2.b 2.dd", "=="), ".krn")
    assert said(score) == ["D4 0 1", "G4 0 3, B4 0 3, D5 0 3"]
    assert [(b.fifths, score.quarters(b.lead)) for b in score.bars] == [(1, 2), (1, 0)]


def test_a_spine_that_splits_is_two_voices() -> None:
    lines = ("**kern", "*clefG2", "*M4/4", "=1", "*^", "4c  2e", "4d  .", "2f  2a", "*v  *v", "=2", "1g", "==")
    score = read(kern(*lines), ".krn")
    assert said(score) == ["C4 0 1, E4 0 2, D4 1 1, F4 2 2, A4 2 2", "G4 0 4"]
    assert len({n.voice for n in score.notes if n.bar == 0}) == 2


def test_ties_within_chords_and_across_bars() -> None:
    score = read(kern("**kern", "*M2/4", "=1", "[2c [2e", "=2", "4c] 4e]", "4d", "=="), ".krn")
    assert said(score) == ["C4 0 3, E4 0 3", "D4 1 1"]


def test_triplets_dots_and_graces() -> None:
    score = read(kern("**kern", "*M4/4", "=1", "12c", "12d", "12e", "4.f", "qg", "8a", "4r", "=="), ".krn")
    assert said(score) == ["C4 0 1/3, D4 1/3 1/3, E4 2/3 1/3, F4 1 3/2, G4 5/2 0, A4 5/2 1/2"]


def test_a_tremolo_that_is_written_out_stays_written_out() -> None:
    lines = ("**kern", "*M3/4", "*tremolo", "=1", "8CL", "8c", "8C", "8c", "8C", "8cJ", "*Xtremolo", "==")
    score = read(kern(*lines), ".krn")
    assert [n.pitch.name for n in score.notes] == ["C3", "C4"] * 3
    assert len({n.id for n in score.notes}) == 6


def test_repeats_fermatas_ornaments_and_changes() -> None:
    lines = ("**kern", "*M4/4", "=1!|:", "2cT", "2d;", "=2:|!", "*M3/4", "*k[b-]", "2.B-", "==")
    score = read(kern(*lines), ".krn")
    assert said(score)[1] == "Bb3 0 3"
    assert [(b.metre.name, b.fifths) for b in score.bars] == [("4/4", 0), ("3/4", -1)]
    assert (score.bars[0].repeat_start, score.bars[0].repeat_end) == (True, True)
    assert [(n.ornaments != (), n.fermata) for n in score.notes] == [(True, False), (False, True), (False, False)]


def test_title_and_composer_of_the_reference_records() -> None:
    text = "!!!OTL: Air\n!!!COM: Nobody\n" + kern("**kern", "*M4/4", "=1", "1c", "==")
    score = read(text, ".krn")
    assert (score.title, score.composer) == ("Air", "Nobody")


def test_an_upbeat_without_a_bar_line_before_it_is_bar_0() -> None:
    score = read(kern("**kern", "*M3/4", "4d", "=1", "2.g", "=2", "2.a", "=="), ".krn")
    assert [(bar.number, score.quarters(bar.lead)) for bar in score.bars] == [("0", 2), ("1", 0), ("2", 0)]


def test_graces_at_the_end_of_a_bar_take_no_time() -> None:
    score = read(kern("**kern", "*M3/4", "=1", "2.g", "qa", "16qb", "=2", "2.g", "=="), ".krn")
    assert said(score) == ["G4 0 3, A4 3 0, B4 3 0", "G4 0 3"]
    assert [score.quarters(bar.length) for bar in score.bars] == [3, 3]


def test_tuplets_beamed_with_plain_notes_keep_their_values() -> None:
    lines = ("**kern", "*M2/4", "=1", "8.cL", "24d", "24e", "24fJ", "20gLL", "20a", "20g", "20a", "20gJJ", "==")
    score = read(kern(*lines), ".krn")
    assert said(score) == [
        "C4 0 3/4, D4 3/4 1/6, E4 11/12 1/6, F4 13/12 1/6, G4 5/4 1/5, A4 29/20 1/5, G4 33/20 1/5, A4 37/20 1/5, "
        "G4 41/20 1/5"
    ]


def test_a_spine_that_lacks_a_value_is_silent_and_said() -> None:
    lines = ("**kern  **kern", "*M2/4  *M2/4", "=1  =1", "4c  4e", "4d  .", "=2  =2", "4c  2g", "4d  .", "==  ==")
    score = read(kern(*lines), ".krn")
    assert said(score) == ["C4 0 1, E4 0 1, D4 1 1", "C4 0 1, G4 0 2, D4 1 1"]
    assert [line.split(";")[0] for line in score.warnings] == ["bar 1: a spine lacks a value where others go on"]


def test_a_pitch_below_every_piano_is_named_with_its_line() -> None:
    with pytest.raises(ScoreError, match="'1CCCCC' lies beyond the keyboard") as raised:
        read(kern("**kern", "*M4/4", "=1", "1CCCCC", "=="), ".krn")
    assert raised.value.line == 4
