"""A hand that runs: one chord a harmony, of what the run touches in reach of its bass."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis.nouns import Counterpoint
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.material.runs import with_runs
from sitegen.reduction.material.windows import find_windows
from tests.notation import score_of
from tests.reduction.reading import line, material, read, reduced

UP = "C3s E3 G3 A3 B3 C4 D4 E4 D4 C4 G3 E3 F3 E3 D3 B2"
DOWN = "G4s F4 E4 C4 B3 A3 G3 E3 F3 D3 C3 B2 D3 E3 F3 D3"
BROKEN = "C3s E3 G3 E3 C4 G3 C4 E4 G4 E4 G4 C4 G3 C4 G3 E3"
TURNED = "C4s G3 C4 E4 G3 C4 G3 E3 C3 E3 G3 E3 G4 E4 G4 C4"
RUN = f"{UP} | {DOWN} | {UP} | {DOWN}"


def made(left, chords="CEG:16", span=12, **said):
    bars = left.count("|") + 1
    return material(score_of(right=" ".join(["E6w"] * bars), left=left), chords, span, **said)


def windows(left, chords="CEG:16", **said):
    """The left hand's windows in quarters; those of a run are marked ``r``."""
    found = made(left, chords, **said)
    q = found.score.ticks_per_quarter
    return " ".join(f"{w.onset / q:g}-{w.end / q:g}{'r' * w.run}" for w in found.windows[2])


def first_bar(bar, chords="CEG:4", span=12, technique="blocked chords"):
    """The blocks of a bar after which three more run on."""
    found = made(f"{bar} | {DOWN} | {UP} | {DOWN}", f"{chords} CEG:12", span)
    blocks = line(reduced(technique, found), found.score, 2)
    return " | ".join(block for block in blocks.split(" | ") if float(block.split()[0]) < 4)


def test_a_run_has_one_window_for_each_harmony_of_a_bar():
    assert windows(RUN, "CEG:4 CEG:2 FAC:2 CEG:8") == "0-4r 4-6r 6-8r 8-12r 12-16r"


def test_a_harmony_that_has_most_of_a_beat_has_it_from_its_start():
    assert windows(RUN, "CEG:1.25 FAC:2.75 CEG:12").startswith("0-1r 1-4r 4-8r")
    assert windows(RUN, "CEG:1.75 FAC:2.25 CEG:12").startswith("0-2r 2-4r 4-8r")


def test_three_strokes_a_beat_run_in_three_beats_of_four():
    up, down = "C3e3 D3 E3 F3 G3 A3 B3 C4 D4 C4q", "E4e3 D4 C4 B3 A3 G3 F3 E3 D3 C3q"
    assert windows(f"{up} | {down} | {up} | {down}") == "0-4r 4-8r 8-12r 12-16r"
    two = "C3e D3 E3 F3 G3 A3 B3 C4"
    assert "r" not in windows(" | ".join([two, "D4e C4 B3 A3 G3 F3 E3 D3"] * 2))
    half = "C3s D3 E3 F3 G3 A3 B3 C4 D4h | D4s C4 B3 A3 G3 F3 E3 D3 C3h"
    assert "r" not in windows(f"{half} | {half}")


def test_a_hand_that_strikes_a_third_of_its_notes_double_plays_no_run():
    up = "C3+E3s E3 G3 A3+C4 B3 C4 D4+F4 E4 D4 C4+E4 G3 E3 F3+A3 E3 D3 B2"
    down = "G4s F4+A4 E4 C4 B3+D4 A3 G3 E3+G3 F3 D3 C3+E3 B2 D3 E3+G3 F3 D3"
    assert "r" not in windows(f"{up} | {down} | {up} | {down}")


def test_two_beats_of_three_are_not_most_of_a_bar():
    left = " | ".join(["C3s D3 E3 F3 G3 A3 B3 C4 D4q | D4s C4 B3 A3 G3 F3 E3 D3 C3q"] * 2)
    found = material(score_of(right=" | ".join(["E6h."] * 4), left=left, metre="3/4"), "CEG:12")
    assert not any(window.run for window in found.windows[2])


def test_a_third_of_the_moves_of_a_run_are_steps():
    by_step = (
        "D4s C3 C4 G4 F4 D3 G3 F3 F4 G4 G3 F3 F4 E4 G3 D4 | F4s E3 F3 E3 F3 F4 G4 B3 G4 F3 F4 E4 D4 E4 G3 E4 | "
        "G3s G4 G4 F4 D3 E3 E4 F4 E4 D3 C3 D3 C3 C4 G4 G4 | G4s E3 D3 G3 E4 D3 B3 C4 B3 A3 C3 A3 G3 G4 F4 F3"
    )
    by_leap = (
        "E4s F4 D3 A3 E4 F4 A3 E4 D4 C3 C4 B3 C4 B3 E4 D4 | E3s D3 A3 G3 G4 G4 F3 G3 C4 C3 D3 D4 C3 G3 F3 D4 | "
        "D4s D3 G3 D4 C3 C3 C4 C3 A3 D4 D3 G3 C4 D4 D3 C3 | G3s F3 D4 C3 F3 F4 G4 B3 F4 E4 E3 B3 F4 A3 B3 E4"
    )
    assert "r" in windows(by_step)
    assert "r" not in windows(by_leap)


def test_where_a_figure_goes_on_for_half_of_each_bar_nothing_runs():
    turned = "C3s G3 F#3 G3 C3 G3 F#3 G3"
    left = f"{turned} B3 C4 D4 E4 D4 C4 G3 E3 | {turned} B3 A3 G3 E3 F3 D3 C3 B2"
    assert "r" not in windows(f"{left} | {left}")


def test_another_bass_of_the_same_harmony_has_a_window_of_its_own():
    assert windows(RUN, "CEG:2 CEG/E:2 CEG:12").startswith("0-2r 2-4r 4-8r")


@pytest.mark.parametrize(
    ("left", "why"),
    [
        (f"{UP} | {DOWN} | {UP} | C3w", "three bars are no passage"),
        (" | ".join(["C3s G3 F#3 G3 " * 4] * 4), "a figure that goes on at once, half of it steps"),
        (f"{BROKEN} | {TURNED} | {BROKEN} | {TURNED}", "moves that are leaps: a broken chord"),
        (" | ".join(["C3+G3s D3+A3 F3+C4 E3+B3 G3+D4 A3+E4 C4+G4 B3+F4 " * 2] * 4), "two notes at once"),
        (" | ".join(["C3q E3s F3 G3 A3 B3q C4"] * 4), "one beat of four"),
        (" | ".join(["C3e D3 E3 F3 A3 G3 E3 D3"] * 4), "two notes a beat"),
    ],
)
def test_what_is_no_run(left, why):
    assert "r" not in windows(left), why


def test_the_right_hand_and_voices_of_counterpoint_do_not_run():
    score = score_of(right=RUN, left="C2w | C2w | C2w | C2w")
    heard = read(score, "CEG:16")
    upper = find_windows(score, heard, 1, [n for n in score.notes if n.staff == 1])
    assert with_runs(score, heard, upper) == upper
    score = score_of(right="E6w | E6w | E6w | E6w", left=RUN)
    lines = Counterpoint(tuple(tuple(n.id for n in score.notes if n.staff == staff) for staff in (1, 2)), ())
    assert not any(w.run for w in gather(score, replace(read(score, "CEG:16"), counterpoint=lines)).windows[2])


def test_the_chord_of_a_run_is_its_bass_and_what_it_touches_in_reach_held_for_the_harmony():
    assert first_bar(UP) == "0 C3+E3+G3 4"
    assert first_bar("C3s G3 A3 B3 C4 E4 F4 E4 D4 E4 G4 A4 G4 F4 E4 D4") == "0 C3+G3 4"  # its third lies out of reach


def test_what_is_struck_with_the_bass_is_in_its_chord_up_to_a_tenth():
    assert first_bar("C3+E4s G3 A3 B3 C4 D4 E4 F4 E4 D4 E4 G4 A4 G4 F4 E4") == "0 C3+G3+E4 4"


def test_a_note_of_the_first_beat_out_of_reach_below_is_not_its_bass():
    assert first_bar("G4s E4 C4 C3 C4 D4 E4 F4 G4 F4 E4 D4 C4 D4 E4 F4") == "0 C4+E4+G4 4"


def test_what_is_struck_on_the_beat_together_has_no_bass_below_it():
    assert first_bar("E4+G4s C4 D4 E4 F4 G4 A4 B4 A4 G4 F4 E4 F4 G4 A4 G4") == "0 E4+G4 4"


def test_in_a_larger_hand_lies_the_tenth():
    assert first_bar("C3s G3 A3 B3 C4 E4 F4 E4 D4 E4 G4 A4 G4 F4 E4 D4", span=16) == "0 C3+G3+E4 4"


def test_a_run_that_comes_from_above_has_the_lowest_tone_of_its_first_beat_below():
    assert first_bar("G4s E4 C4 B3 C4 D4 E4 F4 G4 F4 E4 D4 C4 D4 E4 F4") == "0 C4+E4+G4 4"


def test_no_two_tones_of_a_run_s_chord_are_a_step_apart():
    bar = "D3s F3 G3 A3 B3 C4 D4 E4 F4 E4 D4 C4 B3 A3 G3 F3"
    assert first_bar(bar, "GBDF/D:4") == "0 D3+F3+B3 4"
    assert first_bar(bar, "GBDF/D:4", technique="harmonic rhythm") == "0 D3+F3+B3 4"
    assert first_bar("C4s B3 C4 D4 E4 F4 G4 F4 E4 D4 C4 D4 E4 F4 E4 D4", "CEGB:4") == "0 C4+E4+G4 4"


def test_a_foreign_note_on_the_beat_that_is_the_bass_stays_it():
    assert first_bar("D3s E3 G3 A3 B3 A3 G3 F3 E3 F3 G3 A3 B3 C4 D4 E4") == "0 D3+G3+C4 4"


def test_a_run_that_falls_an_octave_below_its_chord_has_a_new_bass():
    bar = "E4s D4 C4 D4 E4 F4 G4 F4 C3 D3 E3 G3 A3 B3 C4 D4"
    assert first_bar(bar) == "0 C4+E4+G4 2 | 2 C3+E3+G3 2"


def test_a_bass_alone_out_of_reach_of_the_run_comes_before_the_chord():
    bar = "C2s E4 F4 G4 C4 D4 E4 F4 G4 F4 E4 D4 C4 D4 E4 F4"
    assert first_bar(bar) == "0 C2 1 | 1 C4+E4+G4 3"
    with_its_fifth = "C2+G2s F3 G3 A3 G3 A3 B3 C4 D4 E4 D4 C4 D4 E4 D4 C4"
    assert first_bar(with_its_fifth) == "0 C2+G2 4"
    assert first_bar("C3s E4 F4 E4 G3 A3 B3 C4 D4 E4 D4 C4 D4 E4 D4 C4") == "0 C3+G3 4"  # a tenth is in reach


def test_a_foreign_note_on_the_beat_that_is_no_bass_leads_on_to_the_chord():
    bar = "C2s E4 F4 G4 D#4 E4 F4 G4 F4 E4 D4 E4 G4 F4 E4 D4"
    assert first_bar(bar) == "0 C2 1 | 1 E4+G4 3"
    assert first_bar(bar.replace("D#4 E4 F4 G4", "D#4 E4 G4 C3")) == "0 C2 1 | 1 E4+G4 3"  # C3 lies too far below


def test_a_run_that_touches_nothing_else_in_reach_has_the_octave_of_its_bass():
    assert first_bar("C3s C4 B3 C4 D4 C4 B3 A3 B3 C4 D4 C4 B3 A3 B3 D4") == "0 C3+C4 4"
