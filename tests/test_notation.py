"""The one-line notation of the tests says what it claims to."""

import pytest

from tests.notation import ids_of, score_of


def test_an_early_bar_line_makes_an_upbeat():
    score = score_of(right="G4q | C5h. rq | D5w", metre="4/4")
    assert [(bar.number, bar.length, bar.lead) for bar in score.bars] == [("0", 4, 12), ("1", 16, 0), ("2", 16, 0)]
    assert [note.onset for note in score.notes] == [0, 4, 20]


def test_values_hold_until_the_next_and_graces_take_no_time():
    score = score_of(right="C5e D5 E5q. F#5g G5e A5q", metre="4/4")
    assert [(n.id, n.onset, n.duration) for n in score.notes] == [
        ("C5", 0, 2), ("D5", 2, 2), ("E5", 4, 6), ("Fs5", 10, 0), ("G5", 10, 2), ("A5", 12, 4)]  # fmt: skip


def test_tied_heads_are_one_note_and_chords_and_voices_share_a_staff():
    score = score_of(right="C5+E5h~ C5+E5h ; G4w", left="C3e3 E3 G3")
    assert ids_of(score, 1) == "G4 C5 E5"
    assert {n.id: (n.duration, len(n.noteheads), n.voice) for n in score.notes if n.staff == 1} == {
        "G4": (48, 1, 2), "C5": (48, 2, 1), "E5": (48, 2, 1)}  # fmt: skip
    assert [n.duration for n in score.notes if n.staff == 2] == [4, 4, 4]


@pytest.mark.parametrize("text", ["C5z", "H5q", "C5q | D5h. | E5q | F5"])
def test_what_is_not_understood_or_off_its_place_is_refused(text):
    with pytest.raises(ValueError, match=r"not understood|a bar line"):
        score_of(right=text)
