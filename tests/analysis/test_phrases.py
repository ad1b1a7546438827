"""Phrases end where a musician breathes, and cadences have their names."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.analysis import analyse
from sitegen.analysis.form.cadences import (
    DECEPTIVE,
    FIRMNESS,
    HALF,
    IMPERFECT,
    PERFECT,
    PLAGAL,
    WITH_ARTICLE,
    Cadence,
    cadence_at,
)
from sitegen.analysis.form.phrase_evidence import MOVING_ON, closing_cadence, counted_bars, places_of, slurs_of
from sitegen.analysis.form.phrases import find_phrases, melody_line
from sitegen.analysis.nouns import Harmony
from sitegen.score import read_score
from tests.benchmarks.phrase_starts import CONTENT, DEMO, Count, demo_truth, starts_of
from tests.notation import score_of

CHORDS = {  # numeral: pitch classes, bass, root, all in C major
    "I": ({0, 4, 7}, 0, 0),
    "I6": ({0, 4, 7}, 4, 0),
    "V64-53": ({0, 4, 7}, 7, 7),
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
        ("V64-53 V", 2, HALF),
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
    bar = "C5q D5 E5 F5 | G5q F5 E5 F5"
    score = score_of(right=f"{bar} | {bar} | C5q D5 E5 F5^ | {bar} | B4q D5 C5h^")
    assert bars_of(score, find_phrases(score, (), {})) == [0, 5]


def test_cadences_have_their_article():
    assert WITH_ARTICLE == {
        PERFECT: "a perfect authentic cadence",
        IMPERFECT: "an imperfect authentic cadence",
        HALF: "a half cadence",
        DECEPTIVE: "a deceptive cadence",
        PLAGAL: "a plagal cadence",
    }


def test_a_dominant_seventh_is_a_half_cadence_only_where_a_phrase_rests_on_it():
    assert cadence_at(chords("I V7"), 1, 5) is None
    assert cadence_at(chords("I V7"), 1, 5, resting=True) == Cadence(HALF, 16)
    score = score_of(right=PERIOD)
    found = find_phrases(score, chords("I I IV V7 I I V7 I"), {})
    assert [p.cadence for p in found] == [HALF, PERFECT]


def test_a_dominant_seventh_through_which_the_melody_runs_on_closes_nothing():
    score = score_of(right=PERIOD.replace("D5h. rq", "D5e E5 F5 G5 A5 B5 C6 B5", 1))
    found = find_phrases(score, chords("I I IV V7 I I V7 I"), {})
    assert [p.cadence for p in found] == ["", PERFECT]


def test_a_dominant_after_the_tonic_of_the_last_bar_leads_on_and_is_no_half_cadence():
    """V7 - I | and, in the same bar, V: the phrase has closed before."""
    harmonies = list(chords("I I V7 I I I V7 I"))
    tonic = harmonies[3]
    harmonies[3:4] = [replace(tonic, duration=8), replace(chords("V")[0], onset=tonic.onset + 8, duration=8)]
    half = "C5q D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 D5 | C5h D5h"
    found = find_phrases(score_of(right=f"{half} | {half}"), harmonies, {})
    assert [p.cadence for p in found] == [PERFECT, PERFECT]


def test_a_cadential_six_four_is_no_tonic_on_which_a_phrase_could_close():
    assert cadence_at(chords("V7 V64-53"), 1, 0) is None


def test_a_chord_after_the_last_note_of_the_melody_is_of_the_next_phrase():
    """The tune rests from the middle of its fourth bar over the next bar line: the I that comes there closes none."""
    text = "C5q D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 E5 | D5h rh | rq D5 E5 F5 | G5q F5 E5 C5 | A5q G5 F5 D5 | C5w"
    score = score_of(right=text)
    found = find_phrases(score, chords("I I IV V I I V7 I"), {})
    assert [p.cadence for p in found] == [HALF, PERFECT]


def test_a_cadence_that_comes_with_the_last_bar_divides_more_than_one_that_comes_within_it():
    bars = "G4q A4 B4 D5 | C5w | E5w"
    assert evidence(bars, 2, "arrival", cadences=[Cadence(PERFECT, 16)]) == FIRMNESS[PERFECT]
    assert evidence(bars, 2, "arrival", cadences=[Cadence(PERFECT, 20)]) == 0


def test_a_tonic_in_inversion_sets_no_phrase_out():
    bars = "C5w | C5w | E5w"
    assert evidence(bars, 1, "inverted", harmonies=chords("V I6 I")) == 1
    assert evidence(bars, 2, "inverted", harmonies=chords("V I6 I")) == 0


def test_a_new_figure_below_speaks_for_a_phrase():
    score = score_of(right="C5w | E5w | D5w", left="C3q G3 E3 G3 | C3q G3 E3 G3 | C3e G3 E3 G3 C3e G3 E3 G3")
    line = [note for note in score.notes if note.staff == 1]
    found = {p.tick: dict(p.evidence).get("figure", 0) for p in places_of(score, line, ())}
    assert (found[16], found[32]) == (0, 1)


def starts(text, harmonies=(), melody=()):
    score = score_of(right=text)
    return bars_of(score, find_phrases(score, harmonies, {}, melody))


def test_phrases_of_four_bars_are_not_cut_at_a_long_note_of_their_third():
    text = "C5q D5 E5 F5 | G5q A5 G5 F5 | E5q D5 E5h | C5q D5 E5 D5"
    assert starts(f"{text} | B4q D5 C5 A4 | G4q B4 D5 F5 | E5q C5 A4 C5 | B4q C5 D5 C5") == [0, 4]


QUARTERS = "C5q A4 F#4 A4 | B4q C5 D5 B4 | A4q C5 B4 A4"


def test_the_return_of_the_opening_begins_a_phrase_rather_than_a_rest():
    opening = "G4q B4 D5e E5 D5q"
    text = f"{opening} | {QUARTERS.replace('B4 A4', 'B4 r')} | F#4q A4 G4 F#4 | {opening}"
    assert starts(f"{text} | E4q F#4 G4 A4 | B4q A4 G4 A4 | D5q B4 C5 A4") == [0, 5]


def test_the_return_of_another_bar_does_so_rather_than_a_slightly_longer_note():
    bar = "G4q B4 D5e E5 D5q"
    text = f"E4q F#4 G4 A4 | {bar} | A4q C5 D5 C5 | A4q C5 B4e A4q. | F#4q. G4e F#4q G4 | {bar}"
    assert starts(f"{text} | C5q B4 G4 E4 | B4q A4 G4 A4 | D5q B4 C5 A4") == [0, 5]


def test_a_phrase_begins_with_its_bar_unless_the_pause_into_it_is_a_long_one():
    assert starts(f"{QUARTERS} | F#4q A4 G4 F#4q~ | F#4e E4e D4q C4 B3 | {QUARTERS}") == [0, 4]


def test_a_slur_over_a_bar_line_keeps_a_phrase_together_and_its_end_closes_it():
    bars = "C5q( D5 E5 F5 | G5q F5 E5 D5 | C5q D5 E5 F5 | D5q E5 F5 D5 | E5q D5 C5 B4)"
    score = score_of(right=f"{bars} | {bars.replace('C5', 'B4')}")
    assert bars_of(score, find_phrases(score, (), {})) == [0, 5]


def test_a_rest_ends_a_phrase_where_nothing_else_tells():
    bars = "C5q D5 E5 D5 | C5q D5 E5 D5 | C5q D5 E5 D5 | C5q D5 E5 D5 | C5q D5 E5"
    score = score_of(right=f"{bars} r | {bars} D5")
    assert bars_of(score, find_phrases(score, (), {})) == [0, 5]


@pytest.mark.parametrize("changes", [{"fifths": 2}, {"repeat_start": True}])
def test_a_new_key_signature_or_a_repeat_sign_begins_a_phrase(changes):
    score = score_of(right=" | ".join(["C5q D5 E5 D5"] * 11))
    first = [replace(b, **changes) if b.index == 5 or (b.index > 5 and "fifths" in changes) else b for b in score.bars]
    score = replace(score, bars=tuple(first))
    assert 5 in bars_of(score, find_phrases(score, (), {}))


@pytest.mark.parametrize(("melody", "firmness"), [("C5w", 1.5), ("C5q E5 D5 F5", 0.45)])
def test_a_cadence_counts_where_the_melody_ends_with_it_more_than_where_it_moves_on(melody, firmness):
    score = score_of(right=f"G4q A4 B4 D5 | {melody} | E5w")
    notes = [note for note in score.notes if note.staff == 1]
    found = places_of(score, notes, [Cadence(PERFECT, 16)])
    assert dict(next(place for place in found if place.tick == 32).evidence).get("cadence", 0.0) == pytest.approx(
        firmness
    )


def test_the_rests_of_the_melody_are_heard_through_its_accompaniment():
    bars = "C5q D5 E5 D5 | C5q D5 E5 D5 | C5q D5 E5 D5 | C5q D5 E5 D5 | E5h rh"
    score = score_of(right=f"{bars} | {bars}", left=" | ".join(["C3e G3 E3 G3 C3 G3 E3 G3"] * 10))
    melody = {note.id for note in score.notes if note.staff == 1}
    assert bars_of(score, find_phrases(score, (), {}, melody)) == [0, 5]


def test_second_endings_are_counted_like_the_first():
    score = score_of(right=" | ".join(["C5w"] * 7))
    endings = {2: (1,), 3: (1,), 4: (2,), 5: (2,)}
    score = replace(score, bars=tuple(replace(b, endings=endings.get(b.index, ())) for b in score.bars))
    assert counted_bars(score) == [0, 1, 2, 3, 2, 3, 4]


def test_the_phrases_of_the_demo_begin_where_its_commentary_says():
    count = Count()
    for name in DEMO:
        score = read_score(CONTENT / name / "score.musicxml")
        count.add(starts_of(score, analyse(score)), demo_truth(name, score))
    assert count.f1 >= 0.84


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


def test_perfect_cadences_close_most_firmly_then_imperfect_half_plagal_and_deceptive_ones():
    firm = [FIRMNESS[kind] for kind in (PERFECT, IMPERFECT, HALF, PLAGAL, DECEPTIVE)]
    assert firm == sorted(set(firm), reverse=True)


def test_even_a_deceptive_cadence_closes_more_than_a_perfect_one_from_which_the_melody_moves_on():
    assert FIRMNESS[PERFECT] * MOVING_ON < FIRMNESS[DECEPTIVE] < 2 * FIRMNESS[PERFECT] * MOVING_ON


def evidence(text, bar, kind, **arguments):
    """How much of one kind of evidence there is for a phrase to begin with a bar."""
    score = score_of(right=text)
    found = places_of(score, score.notes, **{"cadences": (), **arguments})
    return dict(next(p for p in found if p.tick == score.bars[bar].onset).evidence).get(kind, 0.0)


@pytest.mark.parametrize(("after", "left"), [("C5w", 1.5), ("C5h E5h", 1.5), ("C5q E5 E5h", 0.45)])
def test_one_more_note_may_resolve_after_the_chord_of_a_cadence(after, left):
    found = evidence(f"G4q A4 B4 D5 | {after} | E5w", 2, "cadence", cadences=[Cadence(PERFECT, 16)])
    assert found == pytest.approx(left)


def test_a_cadence_closes_a_phrase_that_ends_within_a_bar_and_a_half():
    score = score_of(right="C5w C5w C5w C5w")
    for end, closes in ((16 + 20, True), (16 + 24, True), (16 + 28, False)):
        assert (closing_cadence(score, [Cadence(PERFECT, 16)], [16], 0, end) is not None) == closes


def test_a_bar_of_one_note_is_like_no_other_and_one_of_two_is():
    one, two = "C5w", "C5h. E5q"
    other = "D5e E5 F5 G5 A5q B5 | G5q A5e B5 C6q D6 | B5e A5q G5 A5q. | F5q. E5e D5h | C5e D5 E5h. | A4q A4e B4 C5h"
    assert evidence(f"{one} | {other} | {one} | D5w", 7, "opening") == 0
    assert evidence(f"{two} | {other} | {two} | D5w", 7, "opening") > 0.5


def likeness(bars):
    """How far the fourth bar is like the first."""
    return evidence(" | ".join(bars), 3, "parallel")


def test_a_return_is_told_by_its_pitches_before_its_steps_and_by_two_rhythms_before_one():
    """Of six bars the first and the fourth are alike, which leaves two thirds of the worth."""
    a, step_up, other = "C5q. D5e E5q F5q", "D5q. E5e F5q G5q", "A5q. F5e F5q C5q"
    rest = ["B4e A4 G4h.", "G4h. A4q"]
    last = "F4w"
    bars = lambda again, after: [a, *rest, again, after, last]  # noqa: E731
    assert likeness(bars(a, "C5e C5 C5q C5h")) == pytest.approx(2 / 3 * 1.0)
    assert likeness(bars(step_up, "C5e C5 C5q C5h")) == pytest.approx(2 / 3 * 0.6)
    assert likeness(bars(other, "C5e C5 C5q C5h")) == pytest.approx(2 / 3 * 0.3)
    assert likeness(bars(other, "B4e C5 G4h.")) == pytest.approx(2 / 3 * 0.5)


def test_a_pause_is_heard_against_eight_notes_on_each_side():
    """A quarter among eight eighths and eight halves in the last eight notes and the next: one more or fewer and the
    halves would be as many."""
    before, after = "e e h e h e h e", "h e h e h e h e"
    values = " ".join(["h"] * 12 + [before, "q", after] + ["h"] * 12).split()
    score = score_of(right=" ".join(f"C5{value}" for value in values))
    paused = next(p for p in places_of(score, score.notes, ()) if p.tick == score.notes[21].onset)
    assert dict(paused.evidence)["pause"] == 1


def test_a_slur_of_more_than_twelve_bars_has_lost_its_end():
    for bars, known in ((11, 1), (12, 0)):
        score = score_of(right=f"C5w( {'D5w ' * bars} C5w)")
        assert len(slurs_of(score, score.notes)) == known


def test_the_melody_is_the_line_if_it_strikes_in_half_of_the_bars():
    for bars, line in ((4, "C4 C4.2"), (5, "E5 E5.2 E5.3 E5.4 E5.5")):
        score = score_of(right=" ".join(["E5w"] * bars), left="C4w C4w")
        assert " ".join(note.id for note in melody_line(score, {"C4", "C4.2"})) == line
