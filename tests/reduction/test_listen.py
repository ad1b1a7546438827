"""Sentences on what to listen for come from this very piece, and from this very stage."""

from __future__ import annotations

import string
from dataclasses import replace

import pytest

from sitegen.analysis.nouns import Analysis, Phrase
from sitegen.reduction import build_ladder
from sitegen.reduction.listening import listen_for
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.remarks import additions, bass, chords, leaning, lines, returns
from sitegen.reduction.remarks.listen_texts import SENTENCES, text_of
from sitegen.reduction.remarks.wording import interval, key_name, name, outside
from sitegen.score import Pitch
from tests.notation import score_of
from tests.places.dividing import divided
from tests.reduction.reading import read
from tests.reduction.saying import said, seen, stage_of


def test_a_bass_that_goes_by_step_is_named_with_its_bars():
    score = score_of(right="E5w E5w E5w E5w", left="C4w B3w A3w G3w")
    analysis = read(score, "CEG:4 BEG:4 ACE:4 GCE:4")
    assert said(bass.steps, score, analysis) == ["The bass goes down by step from C in bar 1 to G in bar 4."]


def test_a_bass_that_goes_by_step_within_a_bar():
    score = score_of(right="E5w", left="C3q D3 E3 F3")
    assert said(bass.steps, score, read(score, "CEG:4")) == ["In bar 1 the bass goes up by step from C to F."]


def test_eight_steps_are_an_octave_and_not_from_b_to_b():
    score = score_of(right="D5w D5w", left="B2q C3 D3 E3 F3 G3 A3 B3")
    assert said(bass.steps, score, read(score, "CEG:8")) == [
        "From bar 1 to bar 2 the bass steps up a whole octave from B."
    ]


def test_steps_across_a_rest_are_not_one_line():
    score = score_of(right="E5w E5w", left="C4q B3 rh | A3q G3 rh")
    assert said(bass.steps, score, read(score, "CEG:8")) == []


def test_a_bass_that_sinks_by_semitones():
    score = score_of(right="E5w E5w", left="C4h B3 Bb3 A3")
    analysis = read(score, "CEG:8")
    assert said(bass.semitones, score, analysis) == ["From bar 1 to bar 2 the bass sinks by semitones from C to A."]


def test_a_bass_that_stays_and_one_that_comes_home():
    score = score_of(right="E5w F5w E5w D5w E5w", left="C3w C3w C3w G3w C3w")
    analysis = read(score, "CEG:4 CFA:4 CEG:4 GBD:4 CEG:4")
    assert said(bass.pedal, score, analysis) == ["The bass stays on C from bar 1 to bar 3: know where it moves on."]
    assert said(bass.homecoming, score, analysis) == ["In bar 5 the bass goes from G to C, and the piece is home."]


def test_a_fifth_that_is_only_spelled_so_does_not_come_home():
    score = score_of(right="E5w E5w", left="Ab3w C#3w")
    analysis = read(score, "C#E:8", key="C# minor")
    assert said(bass.homecoming, score, analysis) == []


def test_a_bass_that_ends_elsewhere_does_not_come_home():
    score = score_of(right="B4w F#4w B4w", left="G3w D3w G3w")
    assert said(bass.homecoming, score, read(score, "GBD:4 DF#A:4 GBD:4", key="C major")) == []


def test_the_first_bass_note_outside_the_key_signature_and_where_it_leads():
    score = score_of(right="E5w D5w D5w", left="C3w C#3w D3w")
    assert said(bass.outsider, score, read(score, "CEG:4 C#EG:4 DFA:4")) == [
        "The C sharp in bar 2 is the first bass note outside the key signature: hear it pull to D."
    ]


def test_a_natural_where_the_key_signature_has_a_sharp_is_called_so():
    score = score_of(right="F5w E5w", left="F3w E3w", key=1)
    assert said(bass.outsider, score, read(score, "FAC:4 EGB:4"))[0].startswith("The F natural in bar 1")


def test_the_widest_leap_of_the_bass_if_there_is_one():
    score = score_of(right="E5w E5w E5w", left="C3w G3w D3w")
    assert said(bass.leap, score, read(score, "CEG:12")) == [
        "The bass makes its widest leap to the G in bar 2, a fifth up: find it first."
    ]
    score = score_of(right="E5w E5w E5w", left="C3w G3w C3w")
    assert said(bass.leap, score, read(score, "CEG:12")) == []


def test_the_bar_in_which_the_bass_is_quickest():
    score = score_of(right="E5w E5w", left="C3w C3q D3 E3 G3")
    assert said(bass.quickening, score, read(score, "CEG:8")) == [
        "In bar 2 the bass has 4 notes, more than in any other bar."
    ]


def test_tenths_side_by_side_and_voices_that_move_apart():
    score = score_of(right="E5q F5 G5 A5", left="C4q D4 E4 F4")
    assert said(lines.outer_parallels, score, read(score, "CE:1 DF:1 EG:1 FA:1")) == [
        "In bar 1 melody and bass go side by side, in tenths."
    ]
    score = score_of(right="C5q D5 E5 G5", left="C4q B3 A3 G3")
    analysis = read(score, "C:1 BD:1 AE:1 G:1")
    assert said(lines.outer_contrary, score, analysis) == ["In bar 1 the melody goes up while the bass goes down."]
    assert said(lines.furthest, score, analysis) == [
        "Melody and bass are furthest apart in bar 1, G above and G below."
    ]
    assert said(lines.closest, score, analysis) == ["Melody and bass come closest in bar 1: only an octave apart."]


def test_a_bass_that_turns_back_between_does_not_move_against_the_melody():
    score = score_of(right="C5h D5 E5 G5", left="C4q B3 D4 C4 B3 C4 A3 G3")
    assert said(lines.outer_contrary, score, read(score, "C:8")) == []


def test_the_highest_note_only_if_it_comes_once():
    score = score_of(right="C5q G5 E5 D5", left="C3w")
    assert said(lines.highest, score, read(score, "CEG:4")) == [
        "The melody reaches its highest note, G, in bar 1, and nowhere else."
    ]
    score = score_of(right="C5q G5 E5 G5", left="C3w")
    assert said(lines.highest, score, read(score, "CEG:4")) == []


def test_a_bar_that_a_repeat_sign_divides_is_told_by_its_printed_number():
    score = divided(score_of(right="C5q D5 E5 D5 | C5q D5 E5 G5", left="C3w C3w"), 1, 3, "X1")
    assert said(lines.highest, score, read(score, "CEG:8")) == [
        "The melody reaches its highest note, G, in bar 2, and nowhere else."
    ]


BLOCKS = "C4+E4+G4h C4+E4+A4 | C4+F4+A4h B3+D4+G4"


def test_one_note_of_a_chord_that_moves_and_a_finger_that_stays():
    score = score_of(right="C6w C6w", left=BLOCKS)
    analysis = read(score, "CEG:2 ACE/C:2 FAC/C:2 GBD/B:2")
    assert said(chords.one_moves, score, analysis)[:2] == [
        "In bar 1 one note of the chord moves, G to A: keep the others.",
        "From bar 1 to bar 2 one note of the chord moves, E to F: keep the others.",
    ]
    score = score_of(right="C6w C6w", left="C4+E4+G4h C4+E4+A4 | C4+F4+A4h C4+D4+F4")
    assert said(chords.kept, score, read(score, "CEG:8")) == [
        "From bar 1 to bar 2 every chord has the same C: that finger stays."
    ]


def test_the_widest_reach_and_the_furthest_way_of_the_left_hand():
    score = score_of(right="C6w C6w", left="C3+E3+G3h C3+E3+C4 | F3+A3+C4h C3+E3+G3")
    analysis = read(score, "CEG:8")
    assert said(chords.stretch, score, analysis) == [
        "The left hand stretches widest in bar 1, an octave up from C: find it first."
    ]
    score = score_of(right="C6w C6w", left="C3+E3+G3h C3+E3+G3 | C4+E4+G4h B3+D4+G4")
    assert said(chords.travels, score, analysis) == [
        "The left hand travels furthest to its chord on C in bar 2: be there early."
    ]


def test_where_chords_quicken_and_the_first_that_leaves_the_key_signature():
    score = score_of(right="C6w C6w", left="C4+E4+G4w | C4+E4+A4q B3+D4+G4 C4+D4+F#4 B3+D4+G4")
    analysis = read(score, "CEG:4 ACE:1 GBD:1 DF#A:1 GBD:1")
    assert said(chords.quickening, score, analysis) == ["Bar 2 has 3 different chords, more than any bar before it."]
    assert said(chords.outsider, score, analysis) == [
        "The F sharp in bar 2 is the first chord note outside the key signature: hear it change the colour."
    ]


def test_a_new_key_must_last():
    score = score_of(right=" | ".join(["D5w"] * 6), left=" | ".join(["G3w"] * 6))
    analysis = read(score, " ".join(["GBD:4"] * 6))
    turned = tuple(replace(h, key="G major") if h.onset >= 32 else h for h in analysis.harmonies)
    assert said(chords.new_key, score, Analysis(turned, analysis.notes)) == ["From bar 3 the music is in G major."]
    turned = tuple(replace(h, key="G major") if 32 <= h.onset < 64 else h for h in analysis.harmonies)
    assert said(chords.new_key, score, Analysis(turned, analysis.notes)) == []


def test_cadences_are_said_with_their_article_and_a_half_cadence_is_a_question():
    score = score_of(right="D5w C5w", left="G3w C3w")
    analysis = read(score, "GBD:4 CEG:4")
    analysis = replace(analysis, phrases=(Phrase(0, 16, "imperfect authentic cadence"), Phrase(16, 16, "half cadence")))
    assert said(chords.cadence, score, analysis) == [
        "The phrase that ends in bar 2 stops on a half cadence, like a question.",
        "The phrase that ends in bar 1 closes with an imperfect authentic cadence.",
    ]


def test_a_cadence_is_said_of_a_stage_that_sounds_the_outer_notes_of_its_last_chord():
    score = score_of(right="D5q C5 B4+D5h | C5w", left="G3h G3 | C3w")
    analysis = replace(read(score, "GBD:4 CEG:4"), phrases=(Phrase(0, score.end, "perfect authentic cadence"),))
    sentence = ["The phrase that ends in bar 2 closes with a perfect authentic cadence."]
    assert said(chords.cadence, score, analysis, "outer voices") == sentence
    assert said(chords.cadence, score, analysis, "left hand alone") == sentence  # the octave of the last C
    score = score_of(right="D5q C5 B4+D5h | E5w", left="G3h G3 | C3w")
    analysis = replace(read(score, "GBD:4 CEG:4"), phrases=(Phrase(0, score.end, "imperfect authentic cadence"),))
    assert said(chords.cadence, score, analysis, "left hand alone") == []
    assert said(chords.cadence, score, analysis, "right hand alone") == []


def test_leaning_notes_by_their_bars_and_one_by_one():
    score = score_of(right="D5h C5 | B4h C5 | E5w", left="C3w C3w C3w")
    functions = {"D5": "appoggiatura > C5", "B4": "appoggiatura > C5.2"}
    found = said(leaning.leaning, score, read(score, "CEG:12", functions=functions))
    assert found[0] == "In bars 1 and 2 the first note of the bar leans: give it weight and let go."
    assert found[2:] == [
        "The D in bar 1 leans on the C: give it weight and let go.",
        "The B in bar 2 leans on the C: give it weight and let go.",
    ]


def test_a_suspension_waits_in_the_bar_of_the_chord_that_it_is_held_into():
    waits = ["The F in bar 2 is held over from the chord before, and gives way to the E."]
    score = score_of(right="E5h F5~ | F5h E5", left="C3h F3 | C3w")
    analysis = read(score, "CEG:2 FAC:2 CEG:4")
    assert said(leaning.leaning, score, analysis, technique="leaning notes") == waits
    assert said(leaning.leaning, score, analysis) == waits
    assert said(leaning.leaning, score, analysis, technique="simple tune") == []


def test_a_suspension_that_is_struck_again_waits():
    score = score_of(right="E5h F5 | F5h E5", left="C3h F3 | C3w")
    analysis = read(score, "CEG:2 FAC:2 CEG:4", functions={"F5.2": "suspension > E5.2"})
    assert said(leaning.leaning, score, analysis) == [
        "The F in bar 2 is held over from the chord before, and gives way to the E."
    ]


def test_a_note_that_is_held_through_one_chord_does_not_wait():
    score = score_of(right="E5h F5~ | F5h E5", left="C3h F3 | F3h C3")
    assert said(leaning.leaning, score, read(score, "CEG:2 FAC:4 CEG:2")) == []


def test_a_note_that_is_held_over_is_no_first_note_of_its_bar():
    score = score_of(right="E5h F5~ | F5h E5 | G5h F5~ | F5h E5", left="C3h F3 | C3w | C3h F3 | C3w")
    found = said(leaning.leaning, score, read(score, "CEG:2 FAC:2 CEG:6 FAC:2 CEG:4"))
    assert [sentence.split(" is held")[0] for sentence in found] == ["The F in bar 2", "The F in bar 4"]


def test_a_leaning_note_whose_goal_comes_later_is_not_said_to_lean_on_its_decoration():
    score = score_of(right="G5h F5 | F5q G5 E5h", left="C3h F3 | C3w")
    analysis = read(score, "CEG:2 FAC:2 CEG:4", functions={"F5.2": "suspension > E5"})
    assert said(leaning.leaning, score, analysis) == []


def test_ornaments_small_notes_and_passing_notes_are_named_where_they_are_new():
    score = score_of(right="C5q D5 E5!trill F5 F5g G5w", left="C3w C3w")
    functions = {"D5": "passing note > E5", "F5": "passing note > G5"}
    analysis = read(score, "CEG:8", functions=functions)
    assert said(additions.ornaments, score, analysis, before="bass line") == [
        "New here is the trill on the E in bar 1."
    ]
    assert said(additions.small_notes, score, analysis, before="bass line") == [
        "New here are the small notes in bar 2."
    ]
    assert said(additions.passing, score, analysis, before="bass line") == [
        "New here are the passing notes in bar 1: play them lightly."
    ]
    for remark in (additions.ornaments, additions.small_notes, additions.passing):
        assert said(remark, score, analysis, before="as written") == said(remark, score, analysis) == []


def test_chords_that_are_broken_again_and_bass_and_chord_that_part():
    score = score_of(right="E5w E5w", left="C3e G3 E3 G3 C3 G3 E3 G3 | C3e G3 E3 G3 C3 G3 E3 G3")
    analysis = read(score, "CEG:8", left="Alberti bass")
    assert said(additions.broken_again, score, analysis, before="blocked chords") == [
        "In bar 1 the left hand breaks the chord that it held before: keep its shape."
    ]
    score = score_of(right="E5h. E5h.", left="C3q E3+G3 E3+G3 | C3q E3+G3 E3+G3", metre="3/4")
    analysis = read(score, "CEG:6", left="waltz bass")
    assert said(additions.broken_again, score, analysis, before="bass and chord as one block") == [
        "In bar 1 the left hand parts bass and chord: bass first, then the chord."
    ]


def test_the_return_of_the_beginning_and_bars_that_are_alike():
    score = score_of(right="C5q D5 E5 F5 | G5w | E5q E5 D5 D5 | C5q D5 E5 F5 | G5w", left="C3w C3w G3w C3w C3w")
    analysis = read(score, "CEG:20")
    assert said(returns.beginning, score, analysis) == ["From bar 4 to bar 5 the beginning comes back, note for note."]
    assert said(returns.twins, score, analysis) == ["Bars 1 and 4 are the same, note for note."]


def test_no_two_stages_say_the_same_and_a_stage_may_be_silent():
    score = score_of(right="E5q D5e C5 B4q C5 | G5q F5e E5 D5h", left="C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3h")
    stages = build_ladder(score, read(score, "CEG:4 GBD/B:4", functions={"D5": "passing note > C5"}))
    spoken = [stage.listen for stage in stages if stage.listen]
    assert len(set(spoken)) == len(spoken)
    assert all((text_of(s.sentence) if s.sentence else "") == s.listen for s in stages)
    one = score_of(right="C5w")
    analysis = read(one, "CEG:4")
    assert listen_for(gather(one, analysis), stage_of(one, analysis, "as written"), None, ()) is None


def test_a_kind_of_sentence_not_yet_heard_comes_first():
    score = score_of(right="E5q F5 G5 A5 | G5q F5 E5 D5", left="C4w | C4w")
    analysis = read(score, "CEG:8")
    stage = stage_of(score, analysis, "right hand alone")
    first = listen_for(gather(score, analysis), stage, None, ())
    assert first is not None
    second = listen_for(gather(score, analysis), stage, None, (first,))
    assert second is not None
    assert second.message != first.message


def test_bars_whose_first_note_leans_are_not_said_to_lean_again():
    score = score_of(right="F5q E5h. | F5q E5h. | G4w", left="C4+E4+G4w | C4+E4+G4w | C4+E4+G4w")
    analysis = read(score, "CEG:12")
    stage = stage_of(score, analysis, "leaning notes alone")
    first = listen_for(gather(score, analysis), stage, None, ())
    assert first is not None
    assert first.message == "first notes lean"
    then = listen_for(gather(score, analysis), stage, None, (first,))
    assert then is not None
    assert then.message != "notes lean"


def test_one_note_is_not_pointed_out_twice():
    score = score_of(right="E5w D5w D5w", left="C3+E3+G3w | C#3+E3+G3w | D3+F3+A3w")
    analysis = read(score, "CEG:4 C#EG:4 DFA:4")
    [before] = bass.outsider(seen(score, analysis))
    stage = stage_of(score, analysis, "harmonic rhythm")
    then = listen_for(gather(score, analysis), stage, None, (before,))
    assert then is None or ("note", "C sharp") not in then.fields


def test_what_lies_below_when_it_is_struck_is_the_bass_and_not_what_is_left_sounding():
    score = score_of(right="C4q E5q C5h", left="E4h G3h")
    assert [note.pitch.name for note in seen(score, read(score, "CEG:4")).bass] == ["G3"]


def test_keys_and_intervals_are_said_in_words():
    assert key_name("F# minor") == "F sharp minor"
    assert key_name("Bb major") == "B flat major"
    assert interval(Pitch("C", 0, 4), Pitch("E", 0, 5)) == "a tenth"
    assert name(Pitch("B", 0, 4), signed=True) == "B natural"


@pytest.mark.parametrize(
    ("pitch", "key", "is_outside"),
    [("F#4", 1, False), ("F4", 1, True), ("Bb4", -1, False), ("B4", -1, True), ("C4", 0, False), ("C#4", 0, True)],
)
def test_what_the_key_signature_has(pitch, key, is_outside):
    score = score_of(right=f"{pitch}w", key=key)
    assert outside(score.notes[0].pitch, score.bars[0]) is is_outside


@pytest.mark.parametrize("message", SENTENCES)
def test_every_sentence_names_its_bar(message):
    fields = {name for _, name, _, _ in string.Formatter().parse(SENTENCES[message]) if name}
    assert fields & {"bar", "bars"}


def test_of_the_chords_alone_it_is_said_first_which_finger_moves():
    score = score_of(right="C6w C6w", left="C4+E4+G4w | C4+E4+A4q B3+D4+G4 C4+D4+F#4 B3+D4+G4")
    analysis = read(score, "CEG:4 ACE:1 GBD:1 DF#A:1 GBD:1")
    sentence = listen_for(gather(score, analysis), stage_of(score, analysis, "harmonic rhythm"), None, ())
    assert sentence is not None
    assert sentence.message.startswith("one note moves")
