"""The teacher's last word: on the analysis, on the notes of a stage, on the stages."""

from __future__ import annotations

import pytest

from sitegen.analysis import analyse
from sitegen.errors import ContentError, FaultsError
from sitegen.reduction import Wish, build_ladder, parse_wishes, readings_of, unmatched, without_effect
from tests.notation import score_of
from tests.reduction.invariants import violations
from tests.reduction.reading import line, read

SCORE = score_of(
    right="E5q D5e C5 B4q C5 | G5q F5e E5 D5h",
    left="C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3h",
)


def analysis():
    functions = {"D5": "passing note > C5", "F5": "passing note > E5.2", "B4": "neighbour note > C5.2"}
    return read(SCORE, "CEG:4 GBD/B:4", functions=functions, right="melody", left="Alberti bass")


def wishes(*entries, stages=(), own=None):
    adjustments = [Wish(entry, line) for line, entry in enumerate(entries, 10)]
    return parse_wishes(adjustments, "piece.md", [Wish(s, k) for k, s in enumerate(stages, 3)], own)


def ladder(*entries, score=SCORE, made=None, **more):
    stages = build_ladder(score, made or analysis(), wishes(*entries, **more))
    return {stage.title: stage for stage in stages}


def heard(*entries, score=SCORE):
    """The analysis with the teacher's readings."""
    return analyse(score, readings_of(score, wishes(*entries)))


def test_a_function_is_overruled_before_anything_is_reduced():
    """Called a chord tone, the D5 that leans on the second beat is no longer taken out with the decorations."""
    simple = "Simple tune over blocked chords"
    said = heard({"at": "bar 1, beat 2, right hand, D5", "function": "chord tone"})
    assert line(ladder(made=heard())[simple].notes, SCORE).startswith("0 E5 1 | 1 C5 3")
    assert line(ladder(made=said)[simple].notes, SCORE).startswith("0 E5 1 | 1 D5 ")


def test_an_appoggiatura_resolves_to_the_next_note_of_its_voice():
    reading = heard({"at": "bar 1, beat 1, right hand, top note", "function": "Appoggiatura"}).notes["E5"]
    assert (reading.function, reading.resolves_to, reading.why) == ("appoggiatura", "D5", "The teacher's reading.")


def test_a_texture_is_overruled_for_a_stretch_and_a_hand():
    q = SCORE.ticks_per_quarter

    def left(*entries):
        return [(t.onset // q, t.duration // q, t.kind) for t in heard(*entries).textures if t.staff == 2]

    assert left() == [(0, 8, "Alberti bass")]
    assert left({"at": "bar 2, left hand", "texture": "broken chord"})[1] == (4, 4, "broken chord")
    assert left({"at": "bar 2, beat 3, LH", "texture": "broken chord"})[1] == (6, 2, "broken chord")
    until = {"at": "bar 1, left hand", "texture": "broken chord", "until": "bar 1, beat 3"}
    assert left(until) == [(0, 2, "broken chord"), (2, 6, "Alberti bass")]


def test_a_chord_is_overruled_with_the_functions_of_its_notes():
    said = {"at": "bar 2, beat 1", "chord": "V", "until": "bar 2, beat 3"}
    after = heard(said)
    q = SCORE.ticks_per_quarter
    assert [(h.onset // q, h.duration // q) for h in after.harmonies][:2] == [(0, 4), (4, 2)]
    assert (after.harmonies[1].numeral, after.harmonies[1].symbol) == ("V", "G")
    assert heard().notes["F5"].function == "chord tone"
    assert after.notes["F5"].function == "passing note"


def test_a_chord_symbol_may_be_given_instead_of_a_numeral():
    harmony = heard({"at": "bar 1", "chord": "B♭7/D"}).harmonies[0]
    assert (harmony.root, harmony.bass, harmony.symbol) == (10, 2, "Bb7/D")
    assert harmony.numeral is not None


@pytest.mark.parametrize("key", ["E minor", "e minor", "e-minor", "e"])
def test_a_key_is_overruled_for_its_bars(key):
    assert {h.key for h in heard({"at": "bars 1-2", "key": key}).harmonies} == {"E minor"}


@pytest.mark.parametrize(("said", "key"), [("B flat", "Bb major"), ("f♯ minor", "F# minor"), ("bb minor", "Bb minor")])
def test_keys_are_said_as_musicians_say_them(said, key):
    (reading,) = wishes({"at": "bars 1-2", "key": said}).readings
    assert reading.value == key


FOUR = score_of(
    right="rh. G4q | C5 E5 G5 E5 | D5 F5 A5 F5 | E5 G5 C6 G5 | D5w | C5q E5 G5 E5 | B4 D5 G5 D5 | C5w",
    left="rw | C3 | F3 | C3 | G2 | C3 | G2 | C3",
)
UPBEAT = score_of(right="G4q | C5 E5 G5 E5 | D5 F5 A5 F5 | C5h.", left="rq | C3w | G2 | C3h.")


def test_phrases_begin_and_end_where_the_teacher_says():
    def phrases(*entries, score=FOUR):
        return [(p.onset, p.end) for p in heard(*entries, score=score).phrases]

    bar = 4 * FOUR.ticks_per_quarter
    assert 2 * bar in [onset for onset, _ in phrases({"at": "bar 3", "phrase": "begins"})]
    upbeat = bar - FOUR.ticks_per_quarter
    assert upbeat in [onset for onset, _ in phrases({"at": "bar 1, beat 4", "phrase": "begins"})]
    for yes in ("whole", "yes", True):
        assert (bar, 6 * bar) in phrases({"at": "bars 2-6", "phrase": yes})
    assert (bar, 6 * bar) in phrases({"at": "bar 2", "phrase": "whole", "until": "bar 7"})


def test_the_upbeat_of_a_piece_belongs_to_its_first_phrase():
    (phrase,) = heard({"at": "bars 1-3", "phrase": "whole", "cadence": "none"}, score=UPBEAT).phrases
    assert (phrase.onset, phrase.end, phrase.cadence) == (0, UPBEAT.end, "")


def test_a_note_is_of_the_line_that_the_teacher_gives_it():
    first = "bar 1, beat 1, left hand, C4"
    assert heard().notes["C4"].line == "bass"
    assert heard({"at": first, "line": "inner"}).notes["C4"].line == "inner"
    assert heard({"at": first, "line": "none"}).notes["C4"].line is None
    said = heard({"at": "bar 1, beat 1, right hand, top note", "line": "none"})
    assert said.notes["E5"].line is None
    assert "0 E5" not in line(ladder(made=said)["Outer voices"].notes, SCORE)


def test_two_notes_of_one_moment_cannot_both_be_the_melody():
    both = [{"at": f"bar 1, beat 1, {note}", "line": "melody"} for note in ("RH, E5", "LH, C4")]
    with pytest.raises(ContentError, match=r"piece.md:11: two notes of one moment cannot both be of the melody"):
        heard(*both)
    (fault,) = unmatched(SCORE, wishes(*both))
    assert fault.line == 11


def test_a_note_is_kept_in_a_stage_and_in_all_fuller_ones():
    stages = ladder({"at": "bar 1, beat 3, right hand, B4", "stage": "outer voices", "do": "keep"})
    assert "2 B4 " in line(stages["Outer voices"].notes, SCORE)
    assert "2 B4 " in line(stages["Simple tune over blocked chords"].notes, SCORE)
    assert violations(SCORE, analysis(), list(stages.values())) == []


def test_a_note_dropped_from_a_stage_is_in_none_that_is_sparser():
    simple = "simple tune over blocked chords"
    stages = ladder({"at": "bar 1, beat 1, right hand, E5", "stage": simple, "do": "drop"})
    assert "E5" not in line(stages["Outer voices"].notes, SCORE).split(" | ")[0]
    assert "0 E5" not in line(stages[simple.capitalize()].notes, SCORE)
    assert "0 E5" in line(stages["Complete melody over blocked chords"].notes, SCORE)
    assert violations(SCORE, analysis(), list(stages.values())) == []


def test_a_note_is_held_on():
    held = {"at": "bar 1, beat 1, left hand, C4", "stage": "bass line", "do": "hold", "until": "bar 2, beat 3"}
    assert line(ladder(held)["Bass line"].notes, SCORE, 2) == "0 C4 6 | 4 B3 4"


def test_a_note_is_moved_and_says_so():
    down = {"at": "bar 2, beat 1, left hand, B3", "stage": "bass line", "do": "move", "octaves": -1}
    across = {"at": "bar 1, beat 1, left hand, C4", "stage": "bass line", "do": "move", "hand": "right"}
    notes = ladder(down, across)["Bass line"].notes
    assert line(notes, SCORE, 1) == "0 C4 4m"
    assert line(notes, SCORE, 2) == "4 B2 4m"


def places_of_b3(stages):
    """Where each stage of the ladder has the B3 that begins bar 2: its pitch, and its staff."""
    return {
        title: [(note.pitch.name, note.staff) for note in stage.notes if note.sources[0] == "B3"]
        for title, stage in stages.items()
        if not stage.side_study
    }


@pytest.mark.parametrize("octaves", [-1, 1])
@pytest.mark.parametrize("stage", ["bass line", "outer voices", "simple tune over blocked chords"])
def test_a_note_that_is_moved_in_one_stage_is_in_no_other_twice(stage, octaves):
    """The fuller stages have it as the score has it, and not where the sparser one put it besides."""
    move = {"at": "bar 2, beat 1, left hand, B3", "stage": stage, "do": "move", "octaves": octaves}
    for title, places in places_of_b3(ladder(move)).items():
        assert places == [(f"B{3 + octaves}", 2) if title.lower() == stage else ("B3", 2)], title


def test_a_note_that_is_moved_in_all_stages_is_moved_once():
    move = {"at": "bar 2, beat 1, left hand, B3", "do": "move", "octaves": 1}
    found = places_of_b3(ladder(move))
    assert found.pop("As written") == [("B3", 2)]
    assert set(map(tuple, found.values())) == {(("B4", 2),)}


@pytest.mark.parametrize("octaves", [-1, 1])
def test_a_moved_note_stays_in_the_hand_alone_and_its_doubling_stays_where_it_is(octaves):
    waltz = score_of(
        right="G4q B4 D5 | E5h D5q | C5q A4 F#4 | G4h.",
        left="G2q B3+D4 B3+D4 | C3q C4+E4 C4+E4 | D3q C4+F#4 C4+F#4 | G2h.",
        metre="3/4",
    )
    move = {"at": "bar 2, beat 1, left hand, C3", "do": "move", "octaves": octaves}
    analysed = analyse(waltz)
    plain, moved = ladder(score=waltz, made=analysed), ladder(move, score=waltz, made=analysed)
    assert plain.keys() == moved.keys()

    def struck(stage):
        return [(n.onset, n.midi) for n in stage.notes if n.pitch.step == "C" and waltz.bar_at(n.onset).index == 1]

    for title in plain.keys() - {"As written"}:
        expected = {(onset, midi + 12 * octaves if midi == 48 else midi) for onset, midi in struck(plain[title])}
        assert sorted(struck(moved[title])) == sorted(expected), title


def test_a_moved_note_that_a_fuller_stage_lacks_is_there_where_the_teacher_put_it():
    """The neighbour note is in no stage of the tune but the complete one: kept and moved in one, it goes on so."""
    at = "bar 1, beat 3, right hand, B4"
    keep = {"at": at, "stage": "bass line", "do": "keep"}
    move = {"at": at, "stage": "bass line", "do": "move", "octaves": -1}
    stages = ladder(keep, move)
    found = {title: [n.pitch.name for n in s.notes if n.sources[0] == "B4"] for title, s in stages.items()}
    assert (found["Bass line"], found["Outer voices"], found["As written"]) == (["B3"], ["B3"], ["B4"])
    assert all(len(places) <= 1 for places in found.values())


def test_a_note_that_is_moved_to_the_other_hand_is_in_no_stage_twice():
    move = {"at": "bar 2, beat 1, left hand, B3", "stage": "bass line", "do": "move", "hand": "right"}
    for title, places in places_of_b3(ladder(move)).items():
        assert places == [("B3", 1 if title == "Bass line" else 2)], title


def test_a_wish_for_a_stage_that_is_not_there_names_those_that_are():
    with pytest.raises(ContentError, match=r"piece.md:10: the ladder has no stage 'outer voice'. Perhaps outer voices"):
        ladder({"at": "bar 1, beat 1, right hand, E5", "stage": "outer voice", "do": "keep"})
    with pytest.raises(ContentError, match=r"the ladder has no stage 'xyz'. The stages are: bass line, outer voices"):
        ladder({"at": "bar 1, beat 1, right hand, E5", "stage": "xyz", "do": "keep"})


def test_all_names_that_are_not_there_are_told_together():
    with pytest.raises(FaultsError) as error:
        ladder({"stage": "xyz", "title": "a"}, {"at": "bar 1, beat 1, right hand, E5", "stage": "abc", "do": "drop"})
    assert [fault.line for fault in error.value.faults] == [10, 11]


def test_a_technique_that_the_ladder_has_not_can_be_added():
    with pytest.raises(
        ContentError, match=r"no stage 'runs to their goals'. List it under stages: to add it; the stages are"
    ):
        ladder({"stage": "runs to their goals", "title": "x"})
    assert "Runs to their goals" in ladder(stages=["bass line", "runs to their goals"])


PLAIN = score_of(right="E5q D5e C5 G5h | G5e A5 G5q E5h | C5e B4 C5q E5h | C5e B4 C5h.", left="C4w E4 C4 C4")


def test_a_stage_that_is_given_a_title_is_not_thinned_out():
    """One leaning note in four bars is not enough for a stage: the ladder goes without it."""

    def stages(*entries):
        plain = read(PLAIN, "CEG:16")
        return {stage.title: stage for stage in build_ladder(PLAIN, plain, wishes(*entries))}

    assert "Leaning notes" not in stages()
    assert "My sighs" in stages({"stage": "leaning notes", "title": "My sighs"})


def test_a_hand_of_a_stage_is_played_alone():
    stages = ladder(
        stages=[
            "outer voices",
            {"left hand alone": None, "of": "outer voices"},
            {"right hand alone": None, "of": "blocked chords"},
        ]
    )
    assert list(stages) == [
        "Outer voices",
        "Left hand alone: outer voices",
        "Right hand alone: blocked chords",
        "As written",
    ]
    left = stages["Left hand alone: outer voices"]
    assert (line(left.notes, SCORE, 1), line(left.notes, SCORE, 2)) == ("", "0 C4 4 | 4 B3 4")
    assert left.side_study
    assert left.techniques == ("left hand alone", "outer voices")


def test_a_hand_alone_has_what_it_takes_from_the_other():
    """The block of a tenth is shared: the left hand alone has two of its notes, the right hand the third."""
    score = score_of(right="rw", left="C3e G3 E4 G3 C3 G3 E4 G3")
    hands = [{f"{hand} hand alone": None, "of": "harmonic rhythm"} for hand in ("left", "right")]
    said = wishes(stages=["harmonic rhythm", *hands])
    whole, left, right, _ = build_ladder(score, read(score, "CEG:4"), said)
    assert line(whole.notes, score, 1) == line(right.notes, score, 1) == "0 E4 4m"
    assert line(whole.notes, score, 2) == line(left.notes, score, 2) == "0 C3+G3 4"
    assert [note.hand for note in whole.notes] == ["left", "left", "right"]


def test_a_hand_alone_of_the_teachers_own_stage_by_its_title_and_of_some_bars():
    stages = ladder(
        stages=[
            {"blocked chords": None, "title": "In place"},
            {"left hand alone": None, "of": "in place", "bars": "bar 2", "title": "Left, bar 2"},
        ]
    )
    assert line(stages["Left, bar 2"].notes, SCORE, 2) == "4 B3+D4+G4 4"


def test_a_hand_alone_of_a_stage_that_is_not_there_is_named():
    with pytest.raises(
        ContentError,
        match=r"piece.md:4: the ladder has no stage 'blocked cords'. Perhaps",
    ):
        ladder(stages=["bass line", {"left hand alone": None, "of": "blocked cords"}])


def test_stages_are_listed_renamed_and_cut_to_bars_by_the_teacher():
    stages = ladder(
        stages=[
            {"blocked chords": None, "title": "Hands in place", "listen": "The thumb stays."},
            {"technique": "outer voices", "bars": "bar 1"},
            "bass line",
        ]
    )
    assert list(stages) == ["Hands in place", "Outer voices", "Bass line", "As written"]
    assert stages["Hands in place"].listen == "The thumb stays."
    assert stages["Hands in place"].sentence is None
    assert line(stages["Outer voices"].notes, SCORE, 2) == "0 C4 4"


def test_stages_of_the_ladder_are_left_out_renamed_and_given_a_sentence():
    stages = ladder(
        {"stage": "harmonic rhythm", "leave out": True},
        {"stage": "outer voices", "title": "Two voices", "listen": "Sing the lower one."},
    )
    assert "Harmonic rhythm" not in stages
    assert stages["Two voices"].listen == "Sing the lower one."
    assert stages["Two voices"].techniques == ("outer voices",)


def test_a_stage_in_the_teachers_own_notes_is_matched_to_the_score():
    own = score_of(right="E5h C5h | G5w", left="C3w | B3w")
    stages = ladder(stages=["bass line", {"file": "mine.musicxml", "title": "My version"}], own={"mine.musicxml": own})
    assert stages["My version"].techniques == (), "none of the program made it"
    notes = stages["My version"].notes
    assert line(notes, SCORE, 1) == "0 E5 2 | 2 C5 2 | 4 G5 4"
    assert line(notes, SCORE, 2) == "0 C3 4m | 4 B3 4"
    assert notes[0].sources[0] == "C4"
    assert next(n for n in notes if n.pitch.name == "G5").sources[0] == "G5"


def test_a_note_of_the_teachers_own_that_nothing_matches_is_an_error():
    own = score_of(right="F#5w")
    with pytest.raises(ContentError, match=r"piece.md:3: mine.musicxml, bar 1: nothing in the score matches the F#5"):
        ladder(stages=[{"file": "mine.musicxml"}], own={"mine.musicxml": own})


def test_adjustments_survive_new_ids():
    """They address music: the same score with other ids, as after a new export, takes the same wishes."""
    from dataclasses import replace

    renamed = replace(SCORE, notes=tuple(replace(n, id=f"new-{n.id}") for n in SCORE.notes))
    said = wishes({"at": "bar 1, beat 3, right hand, B4", "stage": "outer voices", "do": "keep"})
    assert unmatched(renamed, said) == []
    functions = {"new-D5": "passing note > new-C5", "new-B4": "neighbour note > new-C5.2"}
    other = read(renamed, "CEG:4 GBD/B:4", functions=functions)
    stage = next(s for s in build_ladder(renamed, other, said) if s.title == "Outer voices")
    assert "2 B4 " in line(stage.notes, renamed)


def test_what_no_longer_applies_is_named_in_order():
    said = wishes(
        {"at": "bar 1, beat 1, right hand, F5", "function": "appoggiatura"},
        {"at": "bar 1, beat 1, right hand, E5", "function": "chord tone"},
        {"at": "bar 12, left hand", "texture": "arpeggio"},
        {"at": "bar 1, left hand, C4", "do": "drop"},
        {"stage": "outer voices", "bars": "bars 1-30"},
    )
    assert [error.line for error in unmatched(SCORE, said)] == [10, 12, 13, 14]


def test_a_change_to_a_stage_that_is_not_there_names_those_that_are():
    with pytest.raises(ContentError, match=r"piece.md:10: the ladder has no stage 'scales'. The stages are: bass line"):
        ladder({"stage": "scales", "title": "x"})


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        (
            {"at": "bar 1, beat 1, right hand, E5", "function": "apoggiatura"},
            "'apoggiatura' is no function. Perhaps appogg",
        ),
        ({"at": "bars 1-2, left hand", "texture": "alberti"}, "'alberti' is no texture"),
        ({"at": "bar 1, beat 1", "chord": "H9x"}, "'H9x' is no chord"),
        ({"at": "bars 1-2", "chord": "C"}, "does not say where the chord begins"),
        ({"at": "bar 1, left hand", "chord": "C"}, "a chord is of both hands"),
        ({"at": "bar 2, beat 1", "chord": "C", "until": "bar 1"}, "'bar 1' is not after 'bar 2, beat 1'"),
        ({"at": "bar 1, beat 1", "chord": "H7"}, "'H7' is no chord. Write B7; names are English here, and H is B"),
        ({"at": "bar 1, beat 1", "chord": "C/H"}, "'C/H' is no chord. Write C/B;"),
        ({"at": "bar 1, beat 1", "chord": "Fis7"}, "'Fis7' is no chord. Write F#7;"),
        ({"at": "bar 1, beat 1", "chord": "es"}, "'es' is no chord. Write Ebm;"),
        ({"at": "bar 1, beat 1", "chord": "a-Moll"}, "'a-Moll' is no chord. Write Am;"),
        (
            {"at": "bar 1, beat 1", "chord": "B-Dur"},
            "'B-Dur' is no chord. Write Bb; names are English here, and B is a",
        ),
        ({"at": "bar 1, beat 1", "chord": "Dmi7"}, "'Dmi7' is no chord. Write Dm7"),
        (
            {"at": "bars 1-2", "key": "H minor"},
            "'H minor' is no key. Write B minor; names are English here, and H is B",
        ),
        ({"at": "bars 1-2", "key": "d-Moll"}, "'d-Moll' is no key. Write D minor;"),
        ({"at": "bars 1-2", "key": "Es-Dur"}, "'Es-Dur' is no key. Write Eb major;"),
        ({"at": "bars 1-2", "key": "Dm"}, "'Dm' is no key. Write D minor"),
        ({"at": "bars 1-2", "key": "Q minor"}, "'Q minor' is no key. Write a key such as E minor or Bb major"),
        ({"at": "bars 1-2", "key": "E miner"}, "'E miner' is no key. Write a key such as E major or E minor"),
        ({"at": "bars 1-2, left hand", "key": "E minor"}, "a key is of both hands"),
        ({"at": "bar 1, beat 1, right hand, E5", "key": "E minor"}, "names a note. Name the bars"),
        (
            {"at": "bar 2", "phrase": "start"},
            "'start' is no phrase. Perhaps begins or whole",
        ),
        ({"at": "bars 1-2", "phrase": "begins"}, "does not say where the phrase begins"),
        ({"at": "bar 1", "phrase": "begins", "until": "bar 2"}, "a phrase that begins has no until"),
        ({"at": "bars 1-2", "phrase": "whole", "cadence": "half cadense"}, "is no cadence. Perhaps half cadence"),
        ({"at": "bars 1-2", "key": "E minor", "cadence": "none"}, "'cadence' does not belong here"),
        ({"at": "bar 1, beat 1, right hand, E5", "line": "tenor"}, "'tenor' is no line"),
        ({"at": "bar 1, right hand", "line": "melody"}, "does not name a note"),
        ({"at": "bar 1, beat 1, right hand, E5", "function": "free", "until": "bar 2"}, "'until' does not belong here"),
        ({"at": "bar 1, beat 1, right hand, E5", "do": "kep"}, "'kep' is nothing that can be done. Perhaps keep"),
        ({"at": "bar 1, beat 1, right hand", "do": "keep"}, "does not name a note"),
        ({"at": "bar 1, beat 1, right hand, E5", "do": "move"}, "a move says where to"),
        ({"at": "bar 1, beat 1, right hand, E5", "do": "hold"}, "a hold says until when"),
        ({"at": "bar 1, beat 1, right hand, E5", "do": "keep", "colour": "red"}, "'colour' does not belong here"),
        ({"at": "bar 1"}, "does not say what is to be done"),
        ("bar 1", "'bar 1' is not understood"),
        ({"stage": 3}, "stage: '3' is not a text"),
        ({"stage": "outer voices", "leave out": "maybe"}, "neither yes nor no"),
    ],
)
def test_a_wrong_entry_is_one_line_with_its_place(entry, what):
    with pytest.raises(ContentError) as error:
        heard(entry)
    said = str(error.value)
    assert said.startswith("piece.md:10: ")
    assert what.replace(" to a note", "") in said.replace(" to a note", "")
    assert "\n" not in said


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ("block chords", "there is no technique 'block chords'. Perhaps blocked chords"),
        ({"technique": "bass line", "of": "outer voices"}, "'of' does not belong to 'bass line'"),
        ({"file": "mine.musicxml"}, "there is no score mine.musicxml"),
        ({"title": "x"}, "'technique' is missing"),
    ],
)
def test_a_wrong_stage_is_one_line_with_its_place(entry, what):
    with pytest.raises(ContentError) as error:
        wishes(stages=[entry])
    assert f"piece.md:3: {what}" in str(error.value)


def test_all_entries_at_fault_are_told_together():
    with pytest.raises(FaultsError) as error:
        wishes(
            {"at": "bar 1, beat 1, right hand, E5", "function": "apoggiatura"},
            {"at": "bars 1-2", "key": "E minor"},
            {"at": "bar 1", "texture": "polka"},
            {"at": "bar 1, beat 1, right hand, E5", "do": "kep"},
            stages=["bass line", "block chords"],
        )
    assert [fault.line for fault in error.value.faults] == [4, 10, 12, 13]


# what changes nothing


def idle(*entries, score=SCORE, **more):
    return [(found.line, found.what) for found in without_effect(score, wishes(*entries, **more))]


def test_a_reading_that_the_music_has_anyway_is_told():
    found = idle(
        {"at": "bar 1, beat 1", "chord": "C"},
        {"at": "bar 2, beat 1", "chord": "G/B"},
        {"at": "bars 1-2", "key": "C major"},
        {"at": "bars 1-2, left hand", "texture": "Alberti bass"},
        {"at": "bar 1, beat 2, right hand, D5", "function": "passing note"},
        {"at": "bar 1, beat 1, left hand, C4", "line": "bass"},
    )
    assert [line for line, _ in found] == [10, 12, 13, 14, 15]
    assert found[0][1] == "'bar 1, beat 1' is read so without being told: chord: C changes nothing"


def test_a_reading_that_another_overrules_is_told():
    found = idle({"at": "bar 1, left hand", "texture": "tremolo"}, {"at": "bars 1-2, LH", "texture": "arpeggio"})
    assert [line for line, _ in found] == [10]
    assert "another adjustment says otherwise of 'bar 1, left hand'" in found[0][1]


def test_readings_that_matter_are_not_told():
    assert idle({"at": "bar 1", "chord": "Am/C"}, {"at": "bar 2", "phrase": "begins"}) == []


def test_deeds_and_changes_that_do_nothing_are_told():
    found = idle(
        {"at": "bar 1, beat 1, right hand, E5", "stage": "outer voices", "do": "keep"},
        {"at": "bar 1, beat 3, right hand, B4", "stage": "outer voices", "do": "keep"},
        {"stage": "outer voices", "title": "Outer voices"},
        {"stage": "bass line", "title": "The bass"},
    )
    assert [line for line, _ in found] == [10, 12]
    assert found[0][1] == "to keep 'bar 1, beat 1, right hand, E5' changes nothing in the stage 'outer voices'"
