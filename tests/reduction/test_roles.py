"""The tune that the techniques take is the melody of the analysis, and the peaks of a figure stay in the figure."""

from dataclasses import replace

from sitegen.analysis import analyse
from sitegen.reduction.material.print_size import prominent
from sitegen.reduction.material.roles import _doublings_of_the_bass, assign_roles
from tests.notation import score_of


def tune_of(**staves):
    score = score_of(**staves)
    printed = [note for note in score.notes if not note.grace and not note.implied]
    roles = assign_roles(score, analyse(score), printed, prominent(score, printed))
    return " ".join(note.id.split(".")[0] for note in printed if roles[note.id] == "melody")


def test_figuration_without_a_tune_has_none():
    assert tune_of(right="C4s E4 G4 C5 " * 16, left="C3w C3 C3 C3") == ""


def test_two_peaks_that_meet_at_a_beat_stay_in_the_figure():
    """Three notes go round in eighths, so that the highest comes last in one beat and first in the next."""
    bars = (
        "C4e E4 G4 C4 E4 G4 C4 E4",
        "F4e A4 C5 F4 A4 C5 F4 A4",
        "D4e G4 B4 D4 G4 B4 D4 G4",
        "C4e E4 G4 C4 E4 G4 C4 E4",
    )
    assert tune_of(right=" | ".join(bars), left="C3w F3 G2 C3") == ""


def test_an_arpeggio_through_the_octaves_is_a_figure():
    """Each bar on its own chord, so that nothing but the octaves repeats."""
    bars = (
        "C3s G3 C4 E4 C4 G4 C5 E5 C5 G5 C6 E6 C6 G6 C7 E7",
        "F2s C3 F3 A3 F3 C4 F4 A4 F4 C5 F5 A5 F5 C6 F6 A6",
        "B2s G3 B3 D4 B3 G4 B4 D5 B4 G5 B5 D6 B5 G6 B6 D7",
    )
    assert tune_of(right=" | ".join(bars), left="C2w F1 G1") == ""


def test_an_arpeggio_that_climbs_is_sung_whole_or_not_at_all():
    """It begins again a tone of the chord higher on each beat; the chord above its end is the tune."""
    climbing = "C4s E4 G4 C5 E4s G4 C5 E5 G4s C5 E5 G5"
    score = score_of(right=f"{climbing} C5+E5+G5+C6q | {climbing} G5q", left="C2w C2")
    analysis = analyse(score)
    printed = [note for note in score.notes if not note.grace and not note.implied]
    half = {"C5.2", "E5.2", "G5", "C6"}
    readings = {
        id: replace(known, function="chord tone", line="melody" if id in half else None)
        for id, known in analysis.notes.items()
    }
    analysis = replace(analysis, notes=readings, harmonies=(replace(analysis.harmonies[0], duration=score.end),))
    roles = assign_roles(score, analysis, printed, set())
    assert [id for id in half if roles[id] == "melody"] == ["C6"]
    sung = {note.id: replace(readings[note.id], line="melody") for note in printed if note.staff == 1}
    roles = assign_roles(score, replace(analysis, notes=readings | sung), printed, set())
    assert all(roles[id] == "melody" for id in half)


def sung_of_a_run(run, sung):
    """The ids in ``sung`` that stay in the tune where these notes, all of one chord, are followed by a rest."""
    score = score_of(right=f"{run} rq", left="C2w", metre="4/4")
    analysis = analyse(score)
    printed = [note for note in score.notes if not note.grace and not note.implied]
    readings = {
        id: replace(known, function="chord tone", line="melody" if id in sung else None)
        for id, known in analysis.notes.items()
    }
    analysis = replace(analysis, notes=readings, harmonies=(replace(analysis.harmonies[0], duration=score.end),))
    roles = assign_roles(score, analysis, printed, set())
    return [id for id in sung if roles[id] == "melody"]


def test_an_arpeggio_has_twice_as_many_notes_as_a_hand_has_in_one_position():
    assert sung_of_a_run("C4s E4 G4 C5 E5 G5 C6 E6 rh", ["C6", "E6"]) == []
    assert sung_of_a_run("C4s E4 G4 C5 E5 G5 C6s r rh", ["G5", "C6"]) == ["G5", "C6"]


def test_the_third_of_a_chord_is_no_step_in_an_arpeggio_and_the_second_is():
    assert sung_of_a_run("C4s Eb4 Gb4 A4 C5 Eb5 Gb5 A5 rh", ["Gb5", "A5"]) == []
    assert sung_of_a_run("C4s E4 G4 A4 C5 E5 G5 C6 rh", ["G5", "C6"]) == ["G5", "C6"]


def test_what_is_held_above_a_figure_is_the_tune():
    right = "G5h E5 | F5h G5 ; C5s G4 E4 G4 C5 G4 E4 G4 C5 G4 E4 G4 C5 G4 E4 G4 | " + "C5s G4 E4 G4 " * 4
    assert tune_of(right=right, left="C3w C3") == "G5 E5 F5 G5"


def test_a_broken_chord_of_a_tune_is_the_tune():
    alberti = "C3e G3 E3 G3 C3 G3 E3 G3 | "
    assert tune_of(right="C5s E5 G5 C6 G5q A5 G5 | E5h C5", left=alberti * 2) == "C5 E5 G5 C6 G5 A5 G5 E5 C5"


def test_a_tune_that_the_left_hand_takes_up_for_a_bar_is_kept():
    tune = tune_of(right="E5q D5 C5h | rw | E5h C5h", left="C3h E3+G3h | C4q B3 A3 B3 | C4w")
    assert tune == "E5 D5 C5 C4 B3 A3 B3 E5 C5"


def test_the_upper_note_of_an_octave_of_the_left_hand_alone_is_the_bass():
    score = score_of(right="rh G5h", left="C3+C4q D3+C4 C3+C4 C3+Db4")
    every = {note.id for note in score.notes}
    assert _doublings_of_the_bass(score, score.notes, every) == {"C4"}
    beside = score_of(left="D3+C4q Eb3+E4q F3+F5h", right="rw")
    assert _doublings_of_the_bass(beside, beside.notes, {note.id for note in beside.notes}) == set()
