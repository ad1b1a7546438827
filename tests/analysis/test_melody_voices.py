"""What is a figure in a voice, and what is heard as a tune: by what returns, how fast, and by step or leap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis.lines import melody_weights as w
from sitegen.analysis.lines.melody import forget, turn, worth_of
from sitegen.analysis.lines.melody_evidence import gather_candidates
from sitegen.analysis.lines.melody_voices import listen
from tests.notation import score_of


def figures(text, hand="right"):
    """How far each note of a line is one of a figure."""
    score = score_of(**{hand: text})
    return [round(share, 2) for share in listen(score, score.notes).figure]


@pytest.mark.parametrize(
    ("text", "least"),
    [
        ("C5e. E5 C5 E5 C5e", 0.6),
        ("C5e E5 G5 C5 E5 G5 C5 E5 | G5 rq. rh", 0.8),
        ("C5e. E5 G5 B5 C5 | E5 G5 B5 C5e rh", 0.6),
    ],
)
def test_two_three_or_four_notes_that_return_are_a_figure_wherever_the_beats_lie(text, least):
    assert min(figures(text, "left")[:4]) >= least


def test_a_figure_that_moves_by_a_step_with_its_harmony_is_half_a_figure_and_one_that_moves_further_is_none():
    stays, moves = figures("C5e E5 G5 E5 C5 E5 G5 E5"), figures("C5e E5 G5 E5 D5 F5 A5 F5")
    leaps = figures("C5e E5 G5 E5 Eb5 G5 Bb5 G5")
    assert (stays[0], moves[0], leaps[0]) == (0.8, 0.4, 0.2)


def test_an_arpeggio_is_one_figure_through_the_octaves():
    assert figures("C5e G5 E5 G5 C6 G6 E6 G6")[:4] == [0.8, 0.83, 0.86, 0.75]
    assert figures("C5e E5 G5 C6 F#5 A#5 C#6 F#6")[0] < 0.5


@pytest.mark.parametrize(
    ("hand", "value", "is_figure"),
    [("left", "h", False), ("left", "q", True), ("right", "q", False), ("right", "e", True)],
)
def test_quarters_of_the_left_hand_may_be_a_figure_and_eighths_of_the_right(hand, value, is_figure):
    assert (max(figures(" ".join(f"{name}{value}" for name in ["C4", "E4", "G4", "E4"] * 4), hand)) > 0.5) == is_figure


@pytest.mark.parametrize(("value", "tune"), [("q", True), ("h", False)])
def test_a_line_of_steps_in_halves_is_no_tune_but_the_bass_of_its_harmonies(value, tune):
    score = score_of(right=" ".join(f"{name}{value}" for name in ["C4", "D4", "E4", "D4"] * 4))
    assert (listen(score, score.notes).steps[4] > w.USUAL_STEPS) == tune


def candidates(**hands):
    score = score_of(**hands)
    return {c.note.id: c for c in gather_candidates(score, list(score.notes), lambda note: False)}


@pytest.mark.parametrize(
    ("left", "note", "bass"),
    [
        ("C3+C4w", "C4", True),
        ("C2+C4w", "C4", True),
        ("C3+F#3w", "Fs3", False),
        ("C3+Db4w", "Db4", False),
        ("C3+B3w", "B3", False),
    ],
)
def test_what_has_nothing_but_its_own_octaves_below_is_the_bass(left, note, bass):
    assert candidates(right="G5w", left=left)[note].bass == bass


def test_a_line_goes_on_in_another_voice_up_to_a_fifth_away_without_further_cost():
    def cost(other):
        found = candidates(right=f"C5h rh ; rh {other}h")
        return turn(*found.values())

    assert cost("G5") == cost("D5")
    assert cost("Ab5") == pytest.approx(cost("G5") + w.LEAP)


def test_of_the_ends_of_lines_in_a_voice_the_last_three_are_kept_and_the_best_before_them():
    total, ends = [5.0, 1.0, 7.0, 2.0, 3.0, 1.0], []
    for end in range(len(total)):
        ends.append(end)
        forget(ends, total)
    assert ends == [2, 3, 4, 5]


def worth(hand="right", **changes):
    """What a beat of a note is worth that nothing hides, of no figure, in a voice that moves as usual."""
    score = score_of(**{hand: "C5q"})
    [candidate] = gather_candidates(score, list(score.notes), lambda note: False)
    plain = {"cover": 0.0, "figure": 0.0, "steps": w.USUAL_STEPS, "bass": False, "accompanies": False, "shared": False}
    return worth_of(score, replace(candidate, **{**plain, **changes}))


def test_a_note_that_nothing_hides_is_worth_one_a_beat_and_a_hidden_one_less_than_nothing():
    assert worth() == 1
    assert worth(cover=1.0) == pytest.approx(-0.1)
    assert worth(figure=1.0) == pytest.approx(0.3)
    assert worth(accompanies=True) == pytest.approx(0.5)
    assert worth("left") == pytest.approx(0.6)
    assert worth(bass=True) == pytest.approx(0.8)
    assert worth(steps=1.0) - worth(steps=0.0) == pytest.approx(0.6)
    assert worth("left", figure=1.0, bass=True, shared=True) == 1


def test_two_moves_of_which_three_tenths_are_steps_are_added_to_those_that_are_heard():
    score = score_of(right="C5e D5 E5 F5 G5 A5 B5 C6")
    assert listen(score, score.notes).steps[0] == pytest.approx((5 + 2 * 0.3) / (5 + 2))


def test_a_turn_into_another_voice_costs_more_while_the_first_goes_on_and_most_below_a_held_note():
    def cost(first, second):
        return turn(*list(candidates(right=f"{first} ; {second}").values())[:2])

    assert cost("C5h rh", "rh D5h") == pytest.approx(0.35)
    assert cost("C5w", "rh D5h") == pytest.approx(0.6)
    assert cost("C5w", "rh B4h") == pytest.approx(0.6 + 0.5)
    assert cost("C5h rh", "rh C6h") == pytest.approx(0.35 + 5 * 0.02)


def test_a_held_note_hides_what_begins_below_it_for_three_beats():
    found = candidates(right="C6w ; C5q D5 E5 F5")
    assert [found[name].cover for name in ("C5", "D5", "E5", "F5")] == pytest.approx([1, 2 / 3, 1 / 3, 0])


def test_a_figure_hides_less_than_a_tune_least_of_all_in_the_other_hand():
    figure = "C6s E6 C6 E6 " * 8
    near, other = candidates(right=f"{figure} ; C5w C5w"), candidates(right=figure, left="C5w C5w")
    assert near["C5.2"].cover == pytest.approx(0.6, abs=0.03)
    assert other["C5.2"].cover == pytest.approx(0.3, abs=0.03)
