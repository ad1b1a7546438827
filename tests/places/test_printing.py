"""Places: where a note is, as musicians say it."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from sitegen.places.printing import (
    beat_words,
    place_of_bars,
    place_of_note,
    place_of_tick,
    places_of_notes,
)
from sitegen.places.words import ordinal
from tests.notation import score_of


def at(score, id_):
    return place_of_note(score, next(note for note in score.notes if note.id == id_))


def test_a_note_is_named_by_bar_beat_hand_and_pitch():
    score = score_of(right="C5q D5e E5 F5h | G5q F#5 G5h", left="C3w | B2w")
    assert at(score, "E5") == "bar 1, beat 2+1/2, right hand, E5"
    assert at(score, "Fs5") == "bar 2, beat 2, right hand, F#5"
    assert at(score, "B2") == "bar 2, beat 1, left hand, B2"


def test_six_eight_counts_dotted_beats():
    score = score_of(right="C5e D5 E5 F5 E5 D5", metre="6/8")
    assert at(score, "E5") == "bar 1, beat 1+2/3, right hand, E5"
    assert at(score, "F5") == "bar 1, beat 2, right hand, F5"


def test_an_upbeat_counts_the_last_beats_of_the_bar_it_leaves_out():
    score = score_of(right="G4e A4 | C5q D5 E5", metre="3/4")
    assert at(score, "G4") == "bar 0, beat 3, right hand, G4"
    assert at(score, "A4") == "bar 0, beat 3+1/2, right hand, A4"
    assert at(score, "C5") == "bar 1, beat 1, right hand, C5"


def test_a_triplet_lies_at_thirds_of_the_beat():
    score = score_of(right="C5e3 D5 E5 F5q", metre="2/4")
    assert [beat_words(score, note.onset) for note in score.notes] == ["1", "1+1/3", "1+2/3", "2"]


def test_one_pitch_in_two_voices_is_told_by_its_voice():
    score = score_of(right="C5h E5 ; C5w")
    assert at(score, "C5") == "bar 1, beat 1, right hand, C5, voice 1"
    assert at(score, "C5.2") == "bar 1, beat 1, right hand, C5, voice 2"
    assert at(score, "E5") == "bar 1, beat 3, right hand, E5"


def test_a_grace_note_is_told_from_the_note_it_leads_to():
    score = score_of(right="C5g C5q D5 E5h")
    assert at(score, "C5") == "bar 1, beat 1, right hand, C5, grace note"
    assert at(score, "C5.2") == "bar 1, beat 1, right hand, C5"


def test_of_equal_grace_notes_each_has_its_count():
    score = score_of(right="C5g D5g C5g D5q E5h.")
    assert at(score, "C5") == "bar 1, beat 1, right hand, C5, grace note (first)"
    assert at(score, "C5.2") == "bar 1, beat 1, right hand, C5, grace note (second)"


def test_a_bar_number_printed_twice_is_told_by_a_count():
    score = score_of(right="C5w | D5w | E5w")
    score = replace(score, bars=(score.bars[0], replace(score.bars[1], number="1"), score.bars[2]))
    assert at(score, "C5") == "bar 1 (first), beat 1, right hand, C5"
    assert at(score, "D5") == "bar 1 (second), beat 1, right hand, D5"
    assert at(score, "E5") == "bar 3, beat 1, right hand, E5"


def test_a_singer_s_staff_goes_by_its_number():
    score = score_of(singer="E5w", right="C5w", left="C3w")
    assert at(score, "E5") == "bar 1, beat 1, staff 1, E5"
    assert at(score, "C3") == "bar 1, beat 1, left hand, C3"


def test_stretches_are_named_by_their_bars_and_hand():
    score = score_of(right="C5w | D5w | E5w", left="C3w | C3w | C3w")
    one = score.bars[0].length
    assert place_of_bars(score, 0, one) == "bar 1"
    assert place_of_bars(score, one, 3 * one, 2) == "bars 2-3, left hand"
    assert place_of_tick(score, one + score.ticks_per_quarter) == "bar 2, beat 2"


def test_counts_beyond_ten_are_written_in_figures():
    assert [ordinal(1), ordinal(10), ordinal(11)] == ["first", "tenth", "11th"]


TOKENS = st.lists(st.sampled_from(["C5q", "C5g", "D5e", "C5+E5q", "Eb5e3", "rq", "D5g"]), min_size=1, max_size=12)


@given(TOKENS, TOKENS, TOKENS)
def test_no_two_notes_share_a_place(first, second, left):
    score = score_of(right=" ".join(first) + " ; " + " ".join(second), left=" ".join(left), metre="3/4")
    found = places_of_notes(score)
    assert len(set(found.values())) == len(score.notes)
    assert all(place_of_note(score, note) == found[note.id] for note in score.notes)
