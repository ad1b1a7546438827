"""The melody is the line that a listener sings back: in any voice of either hand, whole, and none of the figures."""

from dataclasses import replace

from sitegen.analysis.lines.finding import find_lines
from sitegen.analysis.nouns import Harmony, NoteReading
from sitegen.analysis.texture.finding import find_textures
from tests.notation import score_of


def melody_of(right, left, metre="4/4"):
    """The pitches of the melody, without the counts of the ids."""
    score = score_of(right=right, left=left, metre=metre)
    harmonies = (Harmony(0, score.end, frozenset({0, 4, 7})),)
    readings = {n.id: NoteReading("chord tone" if n.pitch.pitch_class in (0, 4, 7) else "free") for n in score.notes}
    lines = find_lines(score, harmonies, readings, find_textures(score, harmonies, readings))
    return " ".join(name.split(".")[0] for kind, ids in lines if kind == "melody" for name in ids)


ALBERTI = "C3e G3 E3 G3 C3 G3 E3 G3 | C3e G3 E3 G3 C3 G3 E3 G3"


def test_an_arpeggio_of_the_right_hand_over_an_accompaniment_is_sung_whole():
    assert melody_of("C5s E5 G5 C6 G5q A5 G5 | E5h C5", ALBERTI) == "C5 E5 G5 C6 G5 A5 G5 E5 C5"


def test_a_tune_of_broken_chords_in_quarters_is_no_figure():
    assert melody_of("C5q E5 G5h | E5q C5 G4h", ALBERTI) == "C5 E5 G5 E5 C5 G4"


def test_a_tune_tied_over_the_beat_above_the_eighths_of_its_own_hand():
    right = "re E5h A5q.~ | A5e E5h D5q. ; C4e G4 C4 G4 C4 G4 C4 G4 | C4e G4 C4 G4 C4 G4 C4 G4"
    assert melody_of(right, "C3w C3w") == "E5 A5 E5 D5"


def test_a_tune_and_the_figure_below_it_in_one_printed_voice():
    """Some programs write all of a staff into one voice: what overlaps there is two lines all the same."""
    score = score_of(right="G5h E5h | F5h G5h ; C5e G4 C5 G4 C5 G4 C5 G4 | C5e G4 C5 G4 C5 G4 C5 G4", left="C3w C3w")
    score = replace(score, notes=tuple(replace(n, voice=1) if n.staff == 1 else n for n in score.notes))
    harmonies = (Harmony(0, score.end, frozenset({0, 4, 7})),)
    readings = {n.id: NoteReading("chord tone") for n in score.notes}
    lines = dict(find_lines(score, harmonies, readings, find_textures(score, harmonies, readings)))
    assert lines["melody"] == ("G5", "E5", "F5", "G5.2")


def test_a_tune_under_a_descant_of_the_same_hand():
    right = "C6s E6 C6 E6 " * 8 + "; E5q F5 G5 F5 | E5q D5 C5h"
    assert melody_of(right, "C3w C3w") == "E5 F5 G5 F5 E5 D5 C5"


def test_a_tune_in_the_middle_between_a_bass_and_chords_after_the_beat():
    left = "E4q F4 G4 F4 | E4q D4 C4h ; C3w | C3w"
    assert melody_of("re C5+E5e " * 8, left) == "E4 F4 G4 F4 E4 D4 C4"


def test_a_tune_of_the_left_hand_under_repeated_chords():
    assert melody_of("C5+E5e " * 16, "E3q F3 G3 F3 | E3q D3 C3h") == "E3 F3 G3 F3 E3 D3 C3"


def test_the_left_hand_takes_up_the_tune_where_the_right_rests():
    assert melody_of("E5q D5 C5h | rw | E5h C5h", "C3h E3+G3h | C4q B3 A3 B3 | C4w") == "E5 D5 C5 C4 B3 A3 B3 E5 C5"


def test_a_beat_of_the_left_hand_in_a_rest_is_an_answer_and_half_a_bar_goes_on_with_the_tune():
    assert melody_of("E5q D5 C5 rq | E5h C5", "C3h. B3q | C4w") == "E5 D5 C5 E5 C5"
    assert melody_of("E5q D5 rh | E5h C5", "C3h C4q B3q | C4w") == "E5 D5 C4 B3 E5 C5"


def test_what_answers_in_another_register_is_not_the_tune():
    assert melody_of("E6q D6 rh | E6h C6", "C3h C3q B2q | C3w") == "E6 D6 E6 C6"


def test_a_figure_that_lasts_is_heard_in_its_peaks_and_a_passage_is_sung_whole():
    figure, tune = "C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 | ", "E5q D5 C5 D5 | "
    lasting = melody_of(figure * 12 + tune * 14, "C3w | " * 26)
    assert lasting == " ".join(["G5"] * 48 + ["E5 D5 C5 D5"] * 14)
    passage = melody_of(figure * 5 + tune * 14, "C3w | " * 19)
    assert passage == " ".join(["C5 E5 G5 E5"] * 20 + ["E5 D5 C5 D5"] * 14)


def test_the_left_hand_does_not_take_up_the_tune_with_its_figure():
    left = "C3e G3 E3 G3 C3 G3 E3 G3 | " * 2 + "C3w"
    assert melody_of("E5q D5 C5h | rw | E5h C5h", left) == "E5 D5 C5 E5 C5"


def test_slow_steps_under_figuration_are_its_bass():
    """The same steps in quarters are a tune (test_lines): a bass moves with its harmonies."""
    figure = "C5s E5 G5 E5 " * 8
    assert melody_of(figure, "E3h D3 | C3h D3").startswith("G5")


def test_a_line_that_both_hands_play_in_turn_is_one():
    right = "rq C5s E5 G5 C6 rq C5s E5 G5 C6 | E6q D6 C6h | E6h D6 | C6w"
    left = "C4s E4 G4 C5 rq C4s E4 G4 C5 rq | C3w C3 C3"
    whole = "C4 E4 G4 C5 C5 E5 G5 C6"
    assert melody_of(right, left) == f"{whole} {whole} E6 D6 C6 E6 D6 C6"


def test_the_same_line_over_a_held_bass_is_a_figure_below_the_tune_that_follows():
    right = "rq C5s E5 G5 C6 rq C5s E5 G5 C6 | E6q D6 C6h"
    left = "C4s E4 G4 C5 rq C4s E4 G4 C5 rq | C3w ; C3w"
    assert "C4" not in melody_of(right, left).split()


def test_the_left_hand_above_the_right_has_the_tune():
    right = "C4e G4 E4 G4 C4 G4 E4 G4 | C4e G4 E4 G4 C4 G4 E4 G4"
    assert melody_of(right, "E5q D5 C5 D5 | E5h C5h") == "E5 D5 C5 D5 E5 C5"


def test_a_held_note_fades_and_a_line_below_it_is_sung():
    right = "G5w~ | G5w | C5w"
    left = "C3w | C4s D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4 | C4w"
    assert melody_of(right, left) == "G5 C4 D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4 C5"


def test_of_thirds_and_of_octaves_the_top_is_the_tune():
    assert melody_of("C5+E5q D5+F5 E5+G5 D5+F5 | C5+E5w", "C3w C3w") == "E5 F5 G5 F5 E5"
    assert melody_of("E4+E5q F4+F5 G4+G5 F4+F5 | E4+E5w", "C3w C3w") == "E5 F5 G5 F5 E5"


def test_chords_do_not_join_a_tune_that_rests():
    left = "C3q E3+G3 E3+G3 E3+G3 | C3q E3+G3 E3+G3 E3+G3"
    assert melody_of("E5q D5 rh | rh C5h", left) == "E5 D5 C5"


def test_a_figure_of_eleven_bars_is_a_passage_unless_it_is_most_of_the_piece():
    figure, tune = "C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 | ", "E5q D5 C5 D5 | "
    passage = melody_of(figure * 11 + tune * 14, "C3w | " * 25)
    assert passage == " ".join(["C5 E5 G5 E5"] * 44 + ["E5 D5 C5 D5"] * 14)


def test_where_a_lasting_figure_gives_way_to_the_tune_its_last_notes_are_sung():
    """Half a bar of figure, half a bar of scale: peaks as long as three notes of five around are of the figure."""
    figure, tune = "C5s E5 G5 E5 C5 E5 G5 E5 C5 D5 E5 F5 G5 F5 E5 D5 | ", "E5q D5 C5 D5 | "
    lasting = melody_of(figure * 13 + tune * 16, "C3w | " * 29)
    assert lasting == " ".join(["G5 G5 F5 G5"] * 13 + ["F5 E5 D5"] + ["E5 D5 C5 D5"] * 16)
