"""What a note is against its chord, by the definitions of the textbooks."""

from dataclasses import replace

import pytest

from sitegen.analysis.functions.finding import name_functions
from sitegen.analysis.functions.neighbours import Lines
from sitegen.analysis.functions.table import DEFINITIONS
from sitegen.analysis.reason_texts import SENTENCES
from tests.analysis.chords import chords_of
from tests.notation import score_of


def readings(chords, right="", left="", metre="4/4", key="C major"):
    score = score_of(right=right, left=left, metre=metre)
    return name_functions(score, chords_of(score, chords, key))


def functions(*args, **kwargs):
    """``id: function > id it resolves to`` of every note that is no chord tone."""
    found = readings(*args, **kwargs)
    return {
        id_: r.function + (f" > {r.resolves_to}" if r.resolves_to else "")
        for id_, r in found.items()
        if r.function != "chord tone"
    }


def test_a_note_between_two_chord_tones_a_third_apart_passes():
    assert functions("C:4", right="C5q D5 E5h") == {"D5": "passing note > E5"}


def test_a_chromatic_passing_note_passes_too():
    assert functions("Dm:4", right="F5q F#5 G5 A5") == {"Fs5": "passing note > A5", "G5": "passing note > A5"}


def test_a_passing_note_may_be_accented():
    assert functions("C:1 F:1 C:2", right="E5q D5e C5 C5h", left="C3q F3 C3h") == {"D5": "passing note > C5"}


def test_what_is_struck_on_the_beat_and_outlasts_its_resolution_leans_though_it_comes_by_step():
    assert functions("C:1 F:1 C:2", right="E5q D5e. C5s C5h", left="C3q F3 C3h") == {"D5": "appoggiatura > C5"}
    assert functions("C:2 C:2", right="D5q E5 F5q. E5e", left="C3+E3+G3h C3+E3+G3h")["F5"] == "appoggiatura > E5.2"


def test_a_beat_that_outlasts_what_it_came_from_leans_and_one_of_equal_beats_passes():
    left = "G2+B2+D3+F3h C3+E3+G3h"
    assert functions("G7:2 C:2", right="F5e G5 F5 E5 D5q C5", left=left)["D5"] == "appoggiatura > C5"
    assert functions("G7:2 C:2", right="F5q E5 D5q C5", left=left)["D5"] == "passing note > C5"


def test_nothing_leans_between_the_beats():
    assert functions("C:4", right="E5e D5q C5e C5h") == {"D5": "passing note > C5"}


def test_a_note_that_returns_is_a_neighbour():
    assert functions("C:4", right="C5q D5 C5h") == {"D5": "neighbour note > C5.2"}
    assert functions("C:4", right="C5q B4 C5h") == {"B4": "neighbour note > C5.2"}


def test_a_note_leapt_to_on_the_beat_that_resolves_by_step_is_an_appoggiatura():
    assert functions("F:4", right="C5q B4e A4 F4h", left="F3+C4w", key="F major") == {"B4": "passing note > A4"}
    assert functions("F:4", right="F4q B4e A4 F4h", left="F3+C4w", key="F major") == {"B4": "appoggiatura > A4"}


def test_an_appoggiatura_may_resolve_through_another_foreign_note():
    found = functions("C:4 C:4", right="C5h E4 | B4q A4 G4h", left="C3+G3w | C3+G3w")
    assert found == {"B4": "appoggiatura > G4", "A4": "passing note > G4"}


def test_the_appoggiatura_is_explained_to_the_teacher():
    found = readings("C:4", right="C5q F5e E5 C5h", left="C3+G3w")
    assert found["F5"].why == (
        "F5 is struck on the beat against the C major chord, approached by leap from C5, and resolves down by step "
        "to E5."
    )
    assert found["E5"].why == "E5 is the third of the C major chord."


def test_a_prepared_fourth_that_falls_is_a_suspension():
    found = functions("F:2 C:2", right="C5q F5 F5 E5", left="F3h C3")
    assert found == {"F5.2": "suspension > E5"}


def test_a_tied_suspension_is_a_chord_tone_that_becomes_one():
    reading = readings("F:2 C:2", right="C5q F5q~ F5q E5", left="F3h C3")["F5"]
    assert (reading.function, reading.held_as, reading.resolves_to) == ("chord tone", "suspension", "E5")
    assert "suspension and resolves down by step to E5" in reading.why


def test_a_prepared_leading_note_that_rises_is_a_retardation():
    assert functions("G:2 C:2", right="D5q B4 B4 C5", left="G3h C3") == {"B4.2": "retardation > C5"}


def test_a_short_note_before_its_chord_anticipates():
    assert functions("G7:2 C:2", right="B4q. C5e C5h", left="G3h C3") == {"C5": "anticipation > C5.2"}


def test_a_syncopated_anticipation_is_held_until_its_chord_arrives():
    found = functions("G7:2 C:2", right="D5q B4e C5e~ C5h", left="G3h C3")
    assert found == {"C5": "anticipation"}


def test_a_note_left_by_leap_the_other_way_escapes():
    assert functions("G:2 C:2", right="B4q. C5e G4h", left="G3h C3") == {"C5": "escape note > G4"}


def test_two_neighbours_circle_one_note():
    found = functions("C:4", right="C5q D5e B4 C5h", left="C3w")
    assert found == {"D5": "neighbour note > C5.2", "B4": "neighbour note > C5.2"}


def test_a_leap_to_an_unaccented_dissonance_is_an_incomplete_neighbour():
    assert functions("C:4", right="C5e F5 E5q C5h", left="C3w") == {"F5": "neighbour note > E5"}


def test_a_repeated_bass_under_changing_chords_is_a_pedal_point():
    found = functions("C:1 Bdim:1 C:2", right="E5q D5+F5+B5 E5h", left="C3q C3 C3h")
    assert found == {"C3.2": "pedal note"}


def test_a_held_bass_is_a_chord_tone_that_becomes_a_pedal_point():
    reading = readings("C:1 G7:1 C:2", right="E5q D5+F5+B5 E5h", left="C3w")["C3"]
    assert (reading.function, reading.held_as) == ("chord tone", "pedal note")


def test_a_drone_inside_a_figure_is_found_in_the_hidden_line():
    found = functions("C:1 G7:1 C:2", right="E5q D5 C5h", left="C3e G3 C3 G3 C3 G3 C3 G3")
    assert found == {"C3.2": "pedal note"}


def test_the_upper_line_of_a_broken_figure_holds_its_appoggiatura():
    found = functions("C:4", right="C5w", left="C3e G3 E3 G3 C3 A3 E3 G3")
    assert found == {"A3": "neighbour note > G3.3"}


def test_repeated_strikes_of_a_dissonance_are_one():
    found = functions("C:4", right="C5q F5e F5 F5 E5 C5q", left="C3w")
    assert found == {"F5": "appoggiatura > E5", "F5.2": "appoggiatura > E5", "F5.3": "appoggiatura > E5"}


def test_grace_notes_are_ornaments_of_their_main_note_even_inside_the_chord():
    assert functions("C:4", right="G4q D5g C5q E5g C5h", left="C3w") == {
        "D5": "ornament > C5",
        "E5": "ornament > C5.2",
    }


def test_a_dissonance_leapt_to_and_from_is_free():
    found = readings("C:4", right="C5q F#5 C5h", left="C3w")
    assert found["Fs5"].function == "free"
    assert found["Fs5"].resolves_to is None


def test_without_a_harmony_notes_are_free_and_say_so():
    found = readings("-:4", right="C5q D5g E5h")
    assert {r.function for r in found.values()} == {"free", "ornament"}
    assert found["C5"].why == "No harmony is found here, so the note has no function in one."
    score = score_of(right="C5w")
    assert name_functions(score, ())["C5"].function == "free"


def test_chord_tones_are_told_by_their_place_in_the_chord():
    found = readings("G7:4", right="G4q B4 D5 F5")
    assert [found[i].why.split(" is ")[1] for i in ("G4", "B4", "D5", "F5")] == [
        "the root of the G7 chord.", "the third of the G7 chord.", "the fifth of the G7 chord.",
        "the seventh of the G7 chord.",
    ]  # fmt: skip


def test_in_a_minor_key_the_step_from_the_sixth_to_the_leading_note_is_a_step():
    found = functions("Am:4", right="A4q G#4 F4 E4", left="A2w", key="A minor")
    assert found == {"Gs4": "passing note > E4", "F4": "passing note > E4"}


@pytest.mark.parametrize("definition", DEFINITIONS, ids=lambda d: f"{d.function}, {d.source}")
def test_every_definition_is_cited(definition):
    assert definition.source.split()[0] in ("KP", "AS", "P")
    assert SENTENCES[definition.why].startswith("{note}")


def test_every_note_has_one_reading_and_resolutions_are_later_notes():
    score = score_of(right="C5e D5 E5 F5 G5 A5 B5 C6", left="C3q D3 E3 F3")
    found = name_functions(score, chords_of(score, "C:2 G7:2"))
    assert set(found) == {note.id for note in score.notes}
    onset = {note.id: note.onset for note in score.notes}
    assert all(onset[r.resolves_to] > onset[i] for i, r in found.items() if r.resolves_to)


def test_harmonies_without_names_still_give_a_sentence():
    score = score_of(right="C5q F5e E5 C5h")
    bare = [replace(h, symbol=None) for h in chords_of(score, "C:4")]
    assert name_functions(score, bare)["F5"].why.startswith("F5 is struck on the beat against the chord, approached")


@pytest.mark.parametrize(
    ("right", "chords", "note", "place"),
    [
        ("D5q C5 E5h", "C:4", "D5", "on the first beat"),
        ("C5h D5q E5", "C:4", "D5", "on the beat"),
        ("C5q D5 E5h", "C:4", "D5", "on a weak beat"),
        ("C5e D5 E5q C5h", "C:4", "D5", "off the beat"),
        ("C5e D5q E5e C5h", "C:4", "D5", "off the beat and held over it"),
        ("B4s C5 D5e E5q C5h", "C:4", "B4", "on the first beat"),
        ("E5e. F5s E5q C5h", "C:4", "F5", "off the beat"),
    ],
)
def test_the_place_of_a_foreign_note_in_its_bar_is_named_truly(right, chords, note, place):
    why = readings(chords, right=right, left="C3w")[note].why
    assert f" {place} against the C major chord" in why or f": {place}, foreign to" in why


def test_the_first_beat_is_never_called_weak():
    for metre, bar in (("4/4", "D5q C5 E5h"), ("3/4", "D5q C5 E5"), ("6/8", "D5e C5 E5 C5q.")):
        found = readings("C:4" if metre == "4/4" else "C:3", right=f"{bar} | {bar}", left="C3h.", metre=metre)
        assert not any("weak beat" in reading.why for id_, reading in found.items() if id_.startswith("D5"))


@pytest.mark.parametrize(("strikes", "function"), [(9, "appoggiatura"), (10, "free")])
def test_nine_strikes_of_a_dissonance_are_heard_as_one_note_and_no_more(strikes, function):
    found = readings("C:4", right=f"C5q {'F5t ' * strikes} E5t C5h", left="C3w")
    assert found["F5"].function == function


@pytest.mark.parametrize(("between", "found"), [(15, True), (16, False)])
def test_a_hidden_line_is_sought_through_sixteen_notes_of_the_hand(between, found):
    score = score_of(right=f"C4t {'G5t ' * between} D4t")
    lines, (first, last) = Lines(score), (n for n in score.notes if n.id in ("C4", "D4"))
    assert (lines.hidden_after(first) == last) == found
    assert (lines.hidden_before(last) == first) == found
