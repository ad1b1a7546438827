"""Melody, bass and inner lines are the ones a musician sings, also where a figure hides them."""

from hypothesis import given
from hypothesis import strategies as st

from sitegen.analysis.lines.finding import find_lines
from sitegen.analysis.nouns import Harmony, NoteReading
from sitegen.analysis.texture.finding import find_textures
from tests.notation import score_of

C_MAJOR = frozenset({0, 4, 7})


def lines_of(score, harmonies=None):
    harmonies = harmonies or (Harmony(0, score.end, C_MAJOR),)
    readings = {n.id: NoteReading("chord tone" if n.pitch.pitch_class in C_MAJOR else "free") for n in score.notes}
    return find_lines(score, harmonies, readings, find_textures(score, harmonies, readings))


def line_of(score, name, harmonies=None):
    return " | ".join(" ".join(ids) for kind, ids in lines_of(score, harmonies) if kind == name)


def test_the_bass_of_an_alberti_figure_is_its_lowest_note_and_its_top_an_inner_line():
    score = score_of(right="E5h D5 | C5w", left="C3e G3 E3 G3 C3 G3 E3 G3 | C3e C4 G3 C4 C3 C4 G3 C4")
    assert line_of(score, "melody") == "E5 D5 C5"
    assert line_of(score, "bass") == "C3 C3.2 C3.3 C3.4"
    assert line_of(score, "inner") == "G3 C4"


def test_a_melody_on_the_peaks_of_broken_chords():
    score = score_of(
        right="C4s E4 G4 E5 C4 E4 G4 E5 | C4 E4 G4 G5 C4 E4 G4 G5 | C4 E4 G4 E5 C4 E4 G4 C5",
        left="C3h C3 C3",
        metre="2/4",
    )
    assert line_of(score, "melody") == "E5 E5.2 G5 G5.2 E5.3 C5"


def test_a_held_melody_hides_the_figure_of_its_own_hand():
    score = score_of(right="E5h G5h | E5w ; " + "C5e3 G4 E4 " * 8, left="C3w C3w")
    assert line_of(score, "melody") == "E5 G5 E5.2"


def test_a_tune_of_the_left_hand_under_figuration_is_the_melody():
    score = score_of(
        right="C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 | C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5",
        left="E3q F3 G3 F3 | E3q D3 C3h",
    )
    assert line_of(score, "melody") == "E3 F3 G3 F3.2 E3.2 D3 C3"


def test_slow_low_notes_under_figuration_stay_the_bass():
    score = score_of(right="C5s E5 G5 E5 " * 8, left="C2w C2w")
    assert line_of(score, "bass") == "C2 C2.2"
    assert line_of(score, "melody").startswith("G5")


def test_a_singer_has_the_melody_and_the_piano_has_it_when_she_rests():
    score = score_of(singer="rw | G4h A4 | G4w", right="E5q D5 C5 D5 | C5w | C5w", left="C3w C3w C3w")
    assert line_of(score, "melody") == "E5 D5 C5 D5.2 G4 A4 G4.2"


def test_after_beats_are_not_the_bass():
    score = score_of(right="E5q D5 C5 | D5h.", left="C3q E3+G3 E3+G3 | G2q F3+G3 F3+G3", metre="3/4")
    assert line_of(score, "bass") == "C3 G2"


def test_two_voices_in_one_hand_are_melody_and_inner_line():
    score = score_of(right="G5h. F5q E5w ; E5q D5 C5 D5 C5w", left="C3w C3w")
    assert line_of(score, "melody") == "G5 F5 E5.2"
    assert line_of(score, "inner") == "E5 D5 C5 D5.2 C5.2"


def test_of_octaves_one_note_is_the_melody_and_the_other_in_no_line():
    score = score_of(right="C4+C5q D4+D5 E4+E5 D4+D5", left="C3w")
    assert line_of(score, "melody") == "C5 D5 E5 D5.2"
    assert line_of(score, "inner") == ""


def test_one_staff_alone_is_a_melody_without_a_bass():
    assert lines_of(score_of(right="C5q D5 E5 F5")) == (("melody", ("C5", "D5", "E5", "F5")),)


def test_a_tune_alone_is_whole_also_where_it_outlines_chords():
    score = score_of(right="C5s E5 G5 E5 C5 E5 G5 E5 | C5s E5 G5 E5 C5q", metre="2/4")
    assert len(lines_of(score)[0][1]) == len(score.notes)


VALUES = st.lists(st.sampled_from(["C4e", "E4q", "G3h", "rq", "C4+E4q", "B2s", "D5g", "C4+C5e"]), max_size=40)


@given(VALUES, VALUES)
def test_a_note_is_in_one_line_at_most_and_no_line_has_two_at_once(upper, lower):
    score = score_of(right=" ".join(upper) or "rw", left=" ".join(lower) or "rw")
    by_id = {n.id: n for n in score.notes}
    lines = lines_of(score)
    names = [name for _, ids in lines for name in ids]
    assert len(names) == len(set(names))
    for _, ids in lines:
        onsets = [by_id[name].onset for name in ids]
        assert onsets == sorted(set(onsets))
    struck = {n.onset for n in score.notes if not n.grace and n.staff == 1}
    assert not struck or any(kind == "melody" for kind, _ in lines)
