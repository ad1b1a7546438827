"""What counts as an entry of a subject: how much of it must come, and how far it may be changed."""

from __future__ import annotations

import pytest

from sitegen.analysis.counterpoint.subjects import VoiceLine, find_entries, taken_up
from tests.notation import score_of


def entries(*voices, metre="4/4"):
    """The entries in voices that are written each by itself: voice, notes, form."""
    lines = [list(score_of(right=text, metre=metre).notes) for text in voices]
    return [(e.voice, len(e.notes), e.form) for e in find_entries(lines)]


def test_a_subject_has_four_notes_before_it_is_answered():
    four, three = "C5q D5 E5 F5", "C5h D5q E5"
    assert entries(f"{four} | A5h G5", f"rw | {four.replace('5', '4')}") == [(0, 4, "real"), (1, 4, "real")]
    assert entries(f"{three} | A5q G5 F5 G5", f"rw | {three.replace('5', '4')}") == []


TEN = "C5e D5 E5 F5 G5 A5 G5 F5 E5 D5"


def third_entry(text):
    """The form of what a third voice has after ten notes of the first and their answer by the second."""
    upper = f"{TEN} | E5q. G5h C5q. | G5q. E5h G5q."
    middle = f"rq. r r | {TEN.replace('5', '4')} | C4q. E4h C4q."
    found = entries(upper, middle, f"rh. rh | rh. rh | {text}", metre="10/8")
    assert found[:2] == [(0, 10, "real"), (1, 10, "real")]
    return [form for _, _, form in found[2:]]


def test_of_ten_notes_eight_make_an_entry_and_seven_do_not():
    assert third_entry("C3e D3 G3 F3 G3 E3 G3 F3 E3 D3") == ["real"]
    assert third_entry("C3e D3 G3 F3 C3 A3 C3 F3 E3 D3") == []


def test_of_an_answer_with_other_steps_nine_notes_of_ten_are_asked_for():
    assert third_entry("G3e A3 B3 D4 E4 F4 E4 D4 F4 B3") == ["tonal"]
    assert third_entry("G3e D4 B3 D4 E4 F4 E4 D4 G4 A3") == []


def test_an_entry_may_have_three_notes_more_to_ten_of_the_subject():
    assert third_entry("C3s D3 D3e E3s F3 F3e G3 A3 G3s F3 F3e E3 D3") == ["real"]
    assert third_entry("C3s D3 D3e E3s F3 F3e G3s A3 A3e G3s F3 F3e E3 D3") == []


def test_a_subject_is_told_by_its_first_32_notes():
    names = "CEDFGABAFGEDCBACDEGFAGBACBDCEDFACDBEGFAB"
    line = " ".join(f"{name}4s" for name in names)
    bars = f"{line} rh"
    answer = bars.replace("4s", "3s")
    assert [count for _, count, _ in entries(f"{bars} C5w", f"rw rw rw {answer}")] == [32, 32]


def motive(names):
    """Five bars in which two voices that begin together have these eighths in turn, and otherwise long notes."""
    high, low = (" ".join(f"{name}{octave}e" for name in names) + " re" * (8 - len(names)) for octave in (5, 3))
    upper, lower = [high, "A5w", "F5h D5", high, "B5w", high], ["B2h A2", low, low, "G2h. A2q", low, "E2w"]
    return entries(" | ".join(upper), " | ".join(lower))


def test_a_motive_with_which_all_begin_has_six_notes():
    assert [count for _, count, _ in motive("CEDFGE")] == [6] * 6
    assert motive("CEDFG") == []


def test_a_motive_is_told_by_its_first_sixteen_notes():
    high, low = (" ".join(f"{name}{octave}s" for name in "CEDFGEDCEGFDEFGACD") for octave in (5, 3))
    held = "A5w~ A5e"
    found = entries(f"{high} | {held} | {high} | {held}", f"B2w~ B2e | {low} | B2w~ B2e | {low}", metre="9/8")
    assert [count for _, count, _ in found] == [16] * 4


def steps_taken(steps):
    """How many notes of a scale are taken up that lie so many steps away from it."""
    scale = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5", "F5", "G5", "A5", "B5", "C6", "D6"]
    opening = score_of(right=" ".join(f"{name}e" for name in scale[: len(steps)])).notes
    other = score_of(right=" ".join(f"{scale[k + step]}e" for k, step in enumerate(steps))).notes
    return taken_up(opening, VoiceLine(other), 0)


@pytest.mark.parametrize(("together", "taken"), [(5, 10), (4, 0)])
def test_half_of_what_is_taken_up_lies_at_one_distance(together, taken):
    others = [0, 2] * 3
    assert steps_taken([1] * together + others[: 10 - together]) == taken


def test_the_distance_is_heard_in_eight_notes():
    """As many of the first eight lie at no distance as a step above, and the first is believed; of nine most do not."""
    assert steps_taken([0, 1, 1, 1, 0, 0, 1, 0]) == 8
    assert steps_taken([0, 1, 1, 1, 0, 0, 1, 0, 1]) == 0
