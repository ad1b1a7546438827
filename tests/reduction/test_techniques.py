"""Each technique on a few bars."""

from __future__ import annotations

import pytest

from sitegen.reduction.techniques.registry import Technique, join, technique, techniques
from tests.notation import score_of
from tests.reduction.reading import line, material, reduced, unsung


@pytest.fixture
def tune():
    """Two bars over an Alberti bass: an appoggiatura, a passing note, a neighbour and a suspension."""
    score = score_of(
        right="D5q C5e D5 E5q F5e E5~ | E5q D5h G5q",
        left="C4e G4 E4 G4 C4 G4 E4 G4 | B3e G4 D4 G4 B3 G4 D4 G4",
    )
    functions = {
        "D5": "appoggiatura > C5",
        "D5.2": "passing note > E5",
        "F5": "neighbour note > E5.2",
        "E5.2": "suspension > D5.3",
    }
    return material(score, "CEG:4 GBD/B:4", functions=functions, right="melody", left="Alberti bass")


def test_the_bass_line_holds_the_first_bass_until_the_next(tune):
    assert line(reduced("bass line", tune), tune.score, 2) == "0 C4 4 | 4 B3 4"


def test_outer_voices_move_by_half_bars_over_the_bass(tune):
    notes = reduced("outer voices", tune)
    assert line(notes, tune.score, 1) == "0 C5 2 | 2 E5 2 | 4 D5 4"
    assert line(notes, tune.score, 2) == "0 C4 4 | 4 B3 4"


def test_a_resolution_takes_over_the_onset_of_its_appoggiatura(tune):
    assert line(reduced("simple tune", tune), tune.score).startswith("0 C5 2 | 2 E5 ")


def test_a_suspension_taken_out_leaves_its_resolution_from_the_change_of_chord(tune):
    """E5 is held over the bar line into D5: it belongs to the first chord, so D5 comes with the second."""
    assert line(reduced("simple tune", tune), tune.score) == "0 C5 2 | 2 E5 2 | 4 D5 3 | 7 G5 1"


def test_leaning_notes_come_back_before_passing_and_neighbour_notes(tune):
    """The neighbour F5 between the beats stays out; the tied E5 is held to its goal on the second beat."""
    assert line(reduced("leaning notes", tune), tune.score) == ("0 D5 1 | 1 C5 1 | 2 E5 2 | 4 E5 1 | 5 D5 2 | 7 G5 1")


def test_a_neighbour_taken_out_leaves_one_note():
    score = score_of(right="E5e F5 E5h.", left="C4w")
    made = material(score, "CEG:4", functions={"F5": "neighbour note > E5.2"})
    assert line(reduced("simple tune", made), score) == "0 E5 4"


def test_a_passing_note_between_the_beats_gives_its_time_to_the_note_before():
    score = score_of(right="E5e D5 C5h.", left="C4w")
    made = material(score, "CEG:4", functions={"D5": "passing note > C5"})
    assert line(reduced("simple tune", made), score) == "0 E5 1 | 1 C5 3"


def test_a_trill_and_a_grace_become_the_main_note():
    score = score_of(right="D5g C5h!trill E5h", left="C4w")
    made = material(score, "CEG:4")
    plain = reduced("simple tune", made)
    assert line(plain, score) == "0 C5 2 | 2 E5 2"
    assert not any(note.ornaments for note in plain)
    complete = reduced("complete melody over bass", made)
    assert line(complete, score) == "0 D5 g | 0 C5 2 | 2 E5 2"
    assert [note.ornaments for note in complete if note.pitch.name == "C5"] == [("trill",)]


def test_a_written_out_turn_becomes_the_main_note():
    score = score_of(right="C5e D5s C5 B4 C5e. E5h", left="C4w")
    functions = {"D5": "ornament > C5.2", "C5.2": "ornament > C5.3", "B4": "ornament > C5.3"}
    made = material(score, "CEG:4", functions=functions)
    assert line(reduced("simple tune", made), score) == "0 C5 2 | 2 E5 2"


def test_the_simple_tune_has_one_note_a_beat():
    score = score_of(right="C5e E5 G5 C6 F5 G5 E5q", left="C4w")
    found = reduced("simple tune", material(score, "CEG:2 FAC:1 CEG:1"))
    assert line(found, score) == "0 C5 1 | 1 G5 1 | 2 F5 1 | 3 E5 1"


def test_a_rest_of_a_beat_in_the_melody_stays_silent():
    score = score_of(right="C5q rq E5h", left="C4w")
    assert line(reduced("simple tune", material(score, "CEG:4")), score) == "0 C5 1 | 2 E5 2"


def test_alberti_bar_becomes_one_block():
    score = score_of(right="E5w", left="C4e G4 E4 G4 C4 G4 E4 G4")
    made = material(score, "CEG:4", left="Alberti bass")
    notes = reduced("blocked chords", made)
    assert line(notes, score, 2) == "0 C4+E4+G4 4"
    g = next(note for note in notes if note.pitch.name == "G4")
    assert g.sources[0] == "G4"
    assert set(g.sources) >= {"G4", "G4.2", "G4.3", "G4.4", "C4"}


def test_an_arpeggio_over_two_octaves_is_blocked_position_by_position():
    score = score_of(right="rw", left="C3s E3 G3 C4 E4 G4 C5 E5 rh")
    assert line(reduced("blocked chords", material(score, "CEG:4")), score, 1) == ""
    score = score_of(right="C6w", left="C3s E3 G3 C4 E4 G4 C5 E5 rh")
    made = material(score, "CEG:4")
    assert line(reduced("blocked chords", made), score, 2) == "0 C3+E3+G3+C4 1 | 1 E4+G4+C5+E5 1"


def test_a_waltz_bar_is_blocked_as_bass_and_held_chord():
    score = score_of(right="E5h.", left="C2q E3+G3+C4q E3+G3+C4q", metre="3/4")
    made = material(score, "CEG:3", left="waltz bass")
    assert line(reduced("blocked chords", made), score, 2) == "0 C2 1 | 1 E3+G3+C4 2"


def test_harmonic_rhythm_strikes_one_chord_a_harmony():
    score = score_of(right="G5w", left="C3+E3+G3q C3+E3+G3 B2+D3+G3q B2+D3+G3")
    made = material(score, "CEG:2 GBD/B:2")
    assert line(reduced("harmonic rhythm", made), score, 2) == "0 C3+E3+G3 2 | 2 B2+D3+G3 2"


def test_the_chord_of_a_harmony_takes_what_only_the_tune_has():
    """The third and the fifth over a bass alone; the longest of each, struck with the bass."""

    def chords(right: str, left: str, harmonies: str = "CEG:4") -> str:
        score = score_of(right=right, left=left)
        return line(reduced("harmonic rhythm", material(score, harmonies)), score, 1)

    assert chords("E5q F5e E5e G5h", "C3w") == "0 E5+G5 4"
    assert chords("E5q F5e E5e G5h", "C3+E3+G3w") == ""
    assert chords("C5q D5e E5e G5h", "C3w") == "0 C5+E5+G5 4"
    assert chords("F5q E5q G5h", "C3w") == "0 E5+G5 4"  # what leans there has no part in the chord
    assert chords("rq E5q G5h", "C3w") == ""  # nor what the tune comes to only after a rest
    assert chords("E4q C5q G5h", "C3w") == "0 E4 4"  # no further than the hand reaches
    # the same chord on another bass needs no more than it has had
    assert chords("C5q G4q C5q E5q", "C3+E3h G3h", "CEG:2 CEG/G:2") == ""


def test_the_chord_of_a_harmony_is_what_its_voices_resolve_to():
    """A suspension under the tune is the harmony of its goal; in a figure it is part of the hand's position."""
    score = score_of(right="E5h D5q C5", left="C3+A3q C3+G3q G2+D4h")
    functions = {"A3": "appoggiatura > G3"}
    made = material(score, "CEG:2 GBD:2", functions=functions)
    assert line(reduced("harmonic rhythm", made), score, 2).startswith("0 C3+G3 2 |")


def test_beats_that_end_with_the_same_rest_are_written_alike():
    """Also the last of the bar, where the tune goes on in the next."""

    def chords(left: str) -> str:
        score = score_of(right="C5h. C5h.", left=left, metre="6/8")
        made = material(score, "CEG:3/2 GBD/B:3/2 CEG:3")
        return line(reduced("harmonic rhythm", made), score, 2)

    alike = "C3+E3+G3q re B2+D3+G3q re | C3+E3+G3h."
    assert chords(alike) == "0 C3+E3+G3 3/2 | 3/2 B2+D3+G3 3/2 | 3 C3+E3+G3 3"
    other = "C3+E3+G3q. B2+D3+G3q re | C3+E3+G3h."
    assert chords(other) == "0 C3+E3+G3 3/2 | 3/2 B2+D3+G3 1 | 3 C3+E3+G3 3"


def test_nothing_of_a_chord_lies_below_its_bass():
    """Where the figure begins again on a lower note, that is the bass from there on."""
    score = score_of(right="C6w", left="C4e E4 G4 E4 G3 E4 G4 E4")
    made = material(score, "CEG:4")
    assert line(reduced("harmonic rhythm", made), score, 2) == "0 C4+E4+G4 2 | 2 G3+E4+G4 2"
    assert line(reduced("blocked chords", made), score, 2) == "0 C4+E4+G4 2 | 2 G3+E4+G4 2"


def test_a_tie_over_the_change_of_chord_is_held_as_long_as_it_is_written():
    score = score_of(right="C6w B5w", left="C3q E3 G3h~ | G3q B2q D3h")
    made = material(score, "CEG:4 GBD/B:4", left="broken chord")
    notes = reduced("blocked chords", made)
    assert line(notes, score, 2) == "0 C3 1 | 1 E3 1 | 2 G3 3 | 5 B2 1 | 6 D3 2"


def test_the_tune_on_its_levels_over_blocked_chords(tune):
    blocks = "0 C4+E4+G4 4 | 4 B3+D4+G4 4"
    simple = reduced("simple tune over blocked chords", tune)
    assert line(simple, tune.score, 1) == "0 C5 2 | 2 E5 2 | 4 D5 3 | 7 G5 1"
    assert line(simple, tune.score, 2) == blocks
    full = reduced("complete melody over blocked chords", tune)
    assert (
        line(full, tune.score, 1) == "0 D5 1 | 1 C5 1/2 | 3/2 D5 1/2 | 2 E5 1 | 3 F5 1/2 | 7/2 E5 3/2 | 5 D5 2 | 7 G5 1"
    )
    assert line(full, tune.score, 2) == blocks
    again = reduced("blocked chords at every turn", tune)
    assert line(again, tune.score, 1) == line(full, tune.score, 1)
    assert line(again, tune.score, 2) == "0 C4+E4+G4 2 | 2 C4+E4+G4 2 | 4 B3+D4+G4 2 | 6 B3+D4+G4 2"


def test_where_only_figures_are_played_their_top_notes_are_the_upper_voice():
    score = score_of(right="C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5", left="C3w")
    made = unsung(material(score, "CEG:4", right="broken chord"))
    assert line(reduced("outer voices", made), score) == "0 G5 4"


def test_octave_doublings_are_dropped_inside_a_hand():
    score = score_of(right="C5+E5+C6q D5+F5+D6 E5h", left="C2+C3h G2+G3h")
    notes = reduced("doublings dropped", material(score, "CEG:4"))
    assert line(notes, score, 1) == "0 E5+C6 1 | 1 F5+D6 1 | 2 E5 2"
    assert line(notes, score, 2) == "0 C2 2 | 2 G2 2"


def test_repeated_chords_become_one_chord_and_the_melody_stays():
    score = score_of(right="G5q A5 G5 E5", left="C4+E4e C4+E4 C4+E4 C4+E4 C4+E4 C4+E4 C4+E4 C4+E4")
    made = material(score, "CEG:4", right="melody", left="repeated chords")
    notes = reduced("repeated chords held", made)
    assert line(notes, score, 2) == "0 C4+E4 4"
    assert line(notes, score, 1) == "0 G5 1 | 1 A5 1 | 2 G5 1 | 3 E5 1"


def test_a_tremolo_becomes_one_chord():
    score = score_of(right="G5w", left="C3t C4 C3 C4 C3 C4 C3 C4 rh.")
    notes = reduced("tremolo as a chord", material(score, "CEG:4", left="tremolo"))
    assert line(notes, score, 2) == "0 C3+C4 1"


def test_bass_and_chord_become_one_block_with_the_bass_brought_up():
    score = score_of(right="G5h. G5h.", left="C2q E3+G3q E3+G3 | C2q E3+G3q E3+G3", metre="3/4")
    made = material(score, "CEG:6", left="waltz bass")
    assert line(reduced("bass and chord as one block", made), score, 2) == "0 C3+E3+G3 3m | 3 C3+E3+G3 3m"


def test_scale_runs_keep_where_they_begin_turn_and_arrive():
    score = score_of(right="C5e D5 E5 F5 G5 F5 E5 D5", left="C3w")
    made = material(score, "CEG:4", right="scale run")
    assert line(reduced("runs to their goals", made), score) == "0 C5 2 | 2 G5 3/2 | 7/2 D5 1/2"


def test_the_inner_line_is_that_of_the_analysis():
    score = score_of(right="G5w ; E5q F5 E5 D5", left="C3w")
    made = material(score, "CEG:4", inner="E5 F5 E5.2 D5")
    assert line(reduced("inner line alone", made), score) == "0 E5 1 | 1 F5 1 | 2 E5 1 | 3 D5 1"
    both = reduced("inner line with the melody", made)
    assert line(both, score) == "0 E5 1 | 0 G5 4 | 1 F5 1 | 2 E5 1 | 3 D5 1"
    assert line(both, score, 2) == ""


@pytest.mark.parametrize(
    ("right", "bars", "is_line"),
    [
        ("G5w ; E5q F5 E5 D5", 1, True),
        ("C6w ; E5q G5 C5 G5", 1, False),  # it leaps
        ("C6w ; E5q F5 G5 C5 D5e E5 F5h", 2, True),  # it leaps once
        ("C6w ; E5q F5 C5 G5", 1, False),  # of three moves one is a step
        ("C6w ; E5q D5 C5 D5", 1, True),  # by whole tones
        ("C6w ; E5q G5 E5 G5", 1, False),  # by thirds
        ("G5q A5 G5 F5 ; E5q F5 E5 D5", 1, False),  # struck with the melody
        ("G5q A5 G5h ; E5q F5 E5 D5", 1, False),  # three of four notes are
        ("G5h F5h ; E5q F5 D5 E5", 1, True),  # half of it is
        ("G5w G5w G5w G5w ; E5q F5 E5 D5", 4, True),  # in every fourth bar
        ("G5w G5w G5w G5w G5w ; E5q F5 E5 D5", 5, False),  # more rarely
    ],
)
def test_an_inner_line_goes_by_step_in_its_own_rhythm_through_a_good_part_of_the_piece(right, bars, is_line):
    """What leaps, is struck with the melody or sounds in too few bars only fills the chord."""
    score = score_of(right=right, left="C3w " * bars)
    inner = " ".join(note.id for note in score.notes if note.voice == 2)
    made = material(score, f"CEG:{4 * bars}", inner=inner)
    assert bool(reduced("inner line with the melody", made)) == is_line


def test_without_an_inner_line_the_tops_of_the_left_hand_stand_for_it(tune):
    assert line(reduced("inner line alone", tune), tune.score, 2) == "0 G4 4 | 4 G4 4"


def test_without_the_bass_the_rest_is_as_written():
    score = score_of(right="G5w", left="C3q E3+G3 C3 E3+G3")
    made = material(score, "CEG:4")
    assert line(reduced("without the bass", made), score, 2) == "1 E3+G3 1 | 2 C3 1 | 3 E3+G3 1"


FUGUE = score_of(right="C5q D5 E5h ; rh G4q A4", left="C4w ; C3h C3h")


@pytest.mark.parametrize(
    ("name", "right", "left"),
    [
        ("highest voice alone", "0 C5 1 | 1 D5 1 | 2 E5 2", ""),
        ("second voice alone", "2 G4 1 | 3 A4 1", ""),
        ("third voice alone", "", "0 C4 4"),
        ("lowest voice alone", "", "0 C3 2 | 2 C3 2"),
        ("two highest voices", "0 C5 1 | 1 D5 1 | 2 E5 2", "2 G4 1m | 3 A4 1m"),
        ("two lowest voices", "0 C4 4m", "0 C3 2 | 2 C3 2"),
    ],
)
def test_voices_alone_and_in_pairs(name, right, left):
    notes = reduced(name, material(FUGUE, "CEG:4"))
    assert line(notes, FUGUE, 1) == right
    assert line(notes, FUGUE, 2) == left


def test_the_rhythm_stays_when_the_pitch_does_not_move(tune):
    notes = reduced("rhythm on one pitch", tune)
    assert line(notes, tune.score, 2).startswith("0 C4 1/2 | 1/2 C4 1/2 | 1 C4 1/2")
    assert line(notes, tune.score, 1).startswith("0 D5 1 | 1 D5 1/2 | 3/2 D5 1/2 | 2 D5 1")


def test_hands_alone_are_as_written(tune):
    assert line(reduced("right hand alone", tune), tune.score, 2) == ""
    assert line(reduced("left hand alone", tune), tune.score, 2).startswith("0 C4 1/2 | 1/2 G4 1/2")


def test_as_written_holds_every_note_once(tune):
    notes = reduced("as written", tune)
    assert [note.sources for note in notes] == [(note.id,) for note in tune.score.notes]


def test_a_new_technique_needs_its_own_rows_only():
    @technique("only for this test", teacher="Nothing.", pupil="Nothing.")
    def nothing(made):
        return []

    from sitegen.reduction.techniques import registry

    row = registry._ROWS.pop("only for this test")
    assert row == Technique("only for this test", "Nothing.", "Nothing.", nothing)
    with pytest.raises(ValueError, match="two techniques"):
        technique("bass line", teacher="", pupil="")(nothing)


def test_every_technique_says_a_line_to_teacher_and_pupil():
    for row in techniques().values():
        assert row.teacher.endswith(".")
        assert row.pupil.endswith(".")


def test_a_note_of_two_layers_is_struck_once(tune):
    bass = reduced("bass line", tune)
    assert join(bass, bass) == bass


def test_of_two_voices_on_one_bass_note_the_longer_is_held():
    score = score_of(right="G4w F4w", left="C3q G3q C4h | G3q B3q D4h ; C3w C3w")
    made = material(score, "CEG:4 GBDF/G:4")
    assert "0 C3 4" in line(reduced("bass line", made), score, 2)
    assert reduced("bass line", made)[0].sources[0] == next(
        n.id for n in score.notes if n.duration == 16 and n.staff == 2
    )


def test_a_neighbour_that_comes_again_and_again_leaves_one_note():
    """Let go on the last whole beat before the rest."""
    score = score_of(right="C5e D5s C5 B4 C5 re E5h", left="C4w")
    functions = {"D5": "neighbour note > C5.2", "B4": "neighbour note > C5.3"}
    made = material(score, "CEG:4", functions=functions)
    assert line(reduced("simple tune", made), score) == "0 C5 1 | 2 E5 2"


def test_a_small_note_decorates_and_takes_no_time_before_the_beat():
    """Graces written out in small notes: the rest before them stays a rest, and the note before goes on."""
    score = score_of(right="rh rq. rs. B4t!small | A4q C5e.. D5t!small C5h", left="C3w C3w")
    made = material(score, "ACE:8")
    assert line(reduced("simple tune", made), score) == "4 A4 1 | 5 C5 1 | 6 C5 2"
    complete = reduced("complete melody over bass", made)
    assert line(complete, score) == "31/8 B4 1/8 | 4 A4 1 | 5 C5 7/8 | 47/8 D5 1/8 | 6 C5 2"
    assert [n.small for n in complete if n.staff == 1] == [True, False, False, True, False]


def test_what_a_trill_stands_for_is_in_no_stage_but_the_score():
    score = score_of(right="C5h!trill E5h ; D5t!implied C5!implied D5!implied C5!implied rq. rh", left="C3w")
    made = material(score, "CEG:4")
    for name in (
        "complete melody over bass", "doublings dropped", "right hand alone", "simple tune",
        "complete melody over blocked chords",
    ):  # fmt: skip
        assert line(reduced(name, made), score) == "0 C5 2 | 2 E5 2"
    assert len(reduced("as written", made)) == 7


SMALL_FIGURE = score_of(
    right="E5s A4!small C5!small A4!small F5s A4!small C5!small A4!small E5s A4!small C5!small A4!small D5s A4!small "
    "C5!small A4!small",
    left="A2w",
)


def test_large_notes_in_a_small_figure_are_sung_through_it():
    made = material(SMALL_FIGURE, "ACE:4", right="broken chord", functions={"F5": "neighbour note > E5.2"})
    assert line(reduced("complete melody over bass", made), SMALL_FIGURE) == "0 E5 1 | 1 F5 1 | 2 E5 1 | 3 D5 1"
    assert line(reduced("outer voices", made), SMALL_FIGURE) == "0 E5 4"


def test_a_figure_goes_on_from_the_melody_note_it_is_struck_with():
    made = material(SMALL_FIGURE, "ACE:4", right="broken chord")
    assert line(reduced("complete melody over blocked chords", made), SMALL_FIGURE) == (
        "0 E5 1 | 0 A4+C5 4 | 1 F5 1 | 2 E5 1 | 3 D5 1"
    )


def test_what_moves_with_the_melody_stays_with_it():
    """Thirds in one voice are the melody's; the inner voice with its own rhythm is blocked."""
    score = score_of(right="C5+E5q D5+F5 C5+E5h ; G4e F4 G4 F4 G4h", left="C3w")
    made = material(score, "CEG:4", functions={"D5": "passing note > C5.2", "F5": "passing note > E5.2"})
    notes = reduced("complete melody over blocked chords", made)
    assert line(notes, score) == "0 C5+E5 1 | 0 G4 4 | 1 D5+F5 1 | 2 C5+E5 2"


def test_a_chord_wider_than_the_hand_is_voiced_without_far_doublings():
    """The fifth and the third of a broad figure lie under the hand; their doublings above are left out."""
    score = score_of(right="rw", left="C3e G3 E3 C4 E4 G4 E4 C4")
    made = material(score, "CEG:4", left="broken chord")
    chord, *_ = line(reduced("harmonic rhythm", made), score, 2).split(" | ")
    assert chord == "0 C3+E3+G3+C4 4"


def test_a_far_bass_is_struck_before_its_chord():
    score = score_of(right="rh. rh.", left="C2q G3+B3q G3+B3 | C2q G3+B3q G3+B3", metre="3/4")
    made = material(score, "CEGB:6")
    assert line(reduced("blocked chords", made), score, 2) == "0 C2 1 | 1 G3+B3 2 | 3 C2 1 | 4 G3+B3 2"


def test_the_tones_that_only_lie_far_above_a_far_bass_are_struck_with_it():
    """No other note of the figure has them: the hand rolls them up from the bass, and then goes on where it lies."""
    score = score_of(right="C6w", left="A1s E3 A3 C4 A2 E3 A3 C4 A2 E3 A3 C4 A2 E3 A3 C4")
    made = material(score, "ACE:4", span=15, left="arpeggio")
    assert line(reduced("blocked chords", made), score, 2) == "0 A1+E3+C4 1 | 1 A2+E3+A3+C4 3"


def test_a_murky_bass_is_one_block_with_its_lowest_note():
    bar = "A3e D4 F#3 D4 D3 D4"
    score = score_of(right="F#5h. F#5h.", left=f"{bar} | {bar}", metre="3/4", key=1)
    made = material(score, "DF#A:6", key="D major")
    assert line(reduced("blocked chords", made), score, 2) == "0 D3+F#3+A3+D4 3 | 3 D3+F#3+A3+D4 3"


def test_an_upbeat_of_the_right_hand_is_no_bass():
    score = score_of(right="E5q | C5s E5 G5 E5 C5 E5 G5 E5 C5h", left="rq | C3w")
    made = material(score, "CEG:5", right="broken chord")
    assert line(reduced("bass line", made), score, 1) == ""
    assert line(reduced("bass line", made), score, 2) == "1 C3 4"


def test_a_bass_struck_again_is_held_on_under_the_right_hand_s_next_harmony():
    score = score_of(right="E4e G4 C5 G4 E4 G4 F4 A4", left="C3h C3")
    made = material(score, "CEG:3 CFA:1", right="broken chord")
    assert line(reduced("bass line", made), score, 1) == ""
    assert line(reduced("bass line", made), score, 2) == "0 C3 4"


def test_what_stands_in_a_figure_is_no_inner_line():
    """Whatever the analysis calls it: the top notes of the left hand's blocks stand in for one."""
    score = score_of(right="G4e C5 E5 C5 G4 D5 F5 D5", left="C3e C4 G3 C4 B2 D4 G3 D4")
    made = material(score, "CEG:2 BDFG:2", inner="C5 D5 C4 D4", right="broken chord", left="broken chord")
    assert line(reduced("inner line alone", made), score) == ""
    assert line(reduced("inner line alone", made), score, 2) == "0 C4 2 | 2 D4 2"


def test_an_off_beat_melody_comes_with_the_bass_in_the_outer_voices():
    score = score_of(right="rs E5e. rs G5e. | C5h", left="C3q C3q | C3h", metre="2/4")
    made = material(score, "CEG:1 CEG:1 CEG:2")
    assert line(reduced("outer voices", made), score) == "0 E5 1 | 1 G5 1 | 2 C5 2"
    assert line(reduced("complete melody over bass", made), score) == "1/4 E5 3/4 | 5/4 G5 3/4 | 2 C5 2"
