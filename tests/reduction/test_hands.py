"""Stretches wider than the hand: shared, rolled or thinned, each marked and listed; none that nobody asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction import build_ladder
from sitegen.reduction.adjustments.notes import NoteChanges
from sitegen.reduction.figures.basses import find_basses
from sitegen.reduction.figures.harmony_chords import chords_of_harmonies
from sitegen.reduction.hands.reach import keyboard, report
from sitegen.reduction.hands.remedies import under_the_hand
from sitegen.reduction.ladder.choosing import Draft
from sitegen.reduction.notes.striking import as_is, in_order
from sitegen.reduction.nouns import WideStretch
from sitegen.reduction.playing import make_playable
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Tempo
from tests.notation import score_of
from tests.reduction.reading import line, material, read, reduced


def played(score, chords, technique, span=12, **said):
    made = material(score, chords, span, **said)
    essential = {bass.note.id for bass in find_basses(made)}
    essential |= {id for id, role in made.roles.items() if role == "melody"}
    return under_the_hand(keyboard(score, span, essential), in_order(reduced(technique, made)))


def test_a_wide_block_is_shared_with_a_hand_that_is_free():
    score = score_of(right="rw", left="C3e G3 E4 G3 C3 G3 E4 G3")
    done = played(score, "CEG:4", "harmonic rhythm")
    assert line(done.notes, score, 1) == "0 E4 4m"
    assert line(done.notes, score, 2) == "0 C3+G3 4"
    assert done.hands[1].places == (WideStretch(0, 16, "shared"),)
    assert done.hands[1].widest == 7


def test_a_large_hand_takes_what_a_small_one_shares():
    score = score_of(right="rw", left="C3e G3 E4 G3 C3 G3 E4 G3")
    done = played(score, "CEG:4", "harmonic rhythm", span=16)
    assert line(done.notes, score, 2) == "0 C3+G3+E4 4"
    assert done.hands[1].places == ()


def test_where_the_other_hand_cannot_reach_the_chord_is_rolled():
    score = score_of(right="G6w", left="C3e G3 E4 G3 C3 G3 E4 G3")
    done = played(score, "CEG:4", "simple tune over blocked chords")
    assert line(done.notes, score, 2) == "0 C3+G3+E4 4r"
    assert done.hands[1].places == (WideStretch(0, 16, "rolled"),)


def test_a_chord_too_short_to_roll_loses_its_outermost_note():
    score = score_of(right="G6e G6 rh.", left="C3t G3 E4 G3 rh rq.")
    done = played(score, "CEG:4", "simple tune over blocked chords", left="broken chord")
    assert line(done.notes, score, 2) == "0 C3+G3 1/2"
    assert done.hands[1].places == (WideStretch(0, 16, "left out"),)
    assert done.left_out == {"E4"}


@pytest.mark.parametrize(("quarters_a_minute", "left"), [(120, "0 C3+G3+E4 1r"), (150, "0 C3+G3 1")])
def test_a_chord_of_half_a_second_is_long_enough_to_roll(quarters_a_minute, left):
    score = score_of(right="G6q G6 rh", left="C3s G3 E4 G3 rh.")
    timed = replace(score, tempi=(Tempo(0, quarters_a_minute),))
    done = played(timed, "CEG:4", "simple tune over blocked chords", left="broken chord")
    assert line(done.notes, score, 2) == left


@pytest.mark.parametrize(("low", "wide"), [("C3", 0), ("B2", 1)])
def test_a_hand_of_which_nothing_is_said_takes_an_octave(low, wide):
    score = score_of(right="E5w", left=f"{low}+C4w")
    [as_written] = [stage for stage in build_ladder(score, read(score, "CEG:4")) if stage.as_written]
    assert len(as_written.hands[1].places) == wide


def test_the_time_of_a_note_left_out_is_accounted_for():
    score = score_of(right="G6e G6 rh.", left="C3t G3 E4 G3 rh rq.")
    done = played(score, "CEG:4", "simple tune over blocked chords", left="broken chord")
    assert "E4" in {source for note in done.notes for source in note.sources}


def test_what_the_score_asks_for_is_left_as_written():
    score = score_of(right="rw", left="C3+E4w")
    done = played(score, "CE:4", "harmonic rhythm")
    assert line(done.notes, score, 2) == "0 C3+E4 4"
    assert done.hands[1].places == (WideStretch(0, 16, "as written"),)


def test_a_note_held_from_before_is_released_where_the_hand_must_leave_it():
    score = score_of(right="rw", left="C2h G3h~ | G3w")
    made = material(score, "CEG:8")
    bass, *others = reduced("as written", made)
    held = [replace(bass, duration=score.end), *others]
    done = under_the_hand(keyboard(score, 12, ()), held)
    assert line(done.notes, score, 2) == "0 C2 2 | 2 G3 6"


def test_the_score_as_written_is_measured_and_not_changed():
    score = score_of(right="C4+E5h C4+C5h", left="C2+E3w")
    notes = reduced("as written", material(score, "CEG:4"))
    right, left = report(keyboard(score, 12, ()), notes)
    assert (right.hand, right.widest, right.places) == ("right", 16, (WideStretch(0, 16, "as written"),))
    assert (left.hand, left.widest, left.places) == ("left", 16, (WideStretch(0, 16, "as written"),))


def test_two_hands_never_hold_the_same_key():
    score = score_of(right="E4w", left="C3e G3 E4 G3 C3 G3 E4 G3")
    done = played(score, "CEG:4", "simple tune over blocked chords")
    assert line(done.notes, score, 1) == "0 E4 4"
    assert line(done.notes, score, 2) == "0 C3+G3 4"


def test_a_side_study_rolls_once_what_a_stage_has_no_time_for_at_every_turn():
    """The second turn of the figure is too short to be rolled and loses its upper note; the first chord keeps it."""
    score = score_of(right="G6w", left="C3q E4q C3t E4t rs re rq")
    low, high, low_again, high_again = (note for note in score.notes if note.staff == 2)
    tune = [as_is(note) for note in score.notes if note.staff == 1]
    turns = [
        replace(as_is(low), duration=16 * low_again.duration),
        replace(as_is(high), onset=0, duration=16 * low_again.duration),
        as_is(low_again),
        replace(as_is(high_again), onset=low_again.onset),
    ]
    chord = [turns[0], replace(turns[1], sources=(high.id, high_again.id))]
    drafts = [
        Draft(Rung("harmonic rhythm", side=True), ("harmonic rhythm",), in_order([*tune, *chord])),
        Draft(Rung("blocked chords"), ("blocked chords",), in_order([*tune, *turns])),
        Draft(Rung("as written"), ("as written",), tuple(as_is(note) for note in score.notes)),
    ]
    essential = {low.id, low_again.id}
    study, stage, _ = make_playable(keyboard(score, 12, essential), drafts, NoteChanges((), score))
    assert line(stage.notes, score, 2) == "0 C3+E4 2r | 2 C3 1/8"
    assert line(study.notes, score, 2) == "0 C3+E4 2r"


def test_a_chord_that_the_score_strikes_after_its_bass_comes_there_where_there_is_no_time_to_roll():
    # a march at 160: bass and chord in each quarter, a tenth apart
    score = replace(score_of(right="A5h E5h", left="A2e E3+C4 B2 F3+D4 A2 E3+C4 B2 F3+D4"), tempi=(Tempo(0, 160.0),))
    done = played(score, "ACE:1 BDF:1 ACE:1 BDF:1", "simple tune over blocked chords", left="march bass")
    assert line(done.notes, score, 2).startswith("0 A2 1/2 | 1/2 E3+C4 1/2 | 1 B2 1/2 | 3/2 F3+D4 1/2")
    assert {place.remedy for place in done.hands[1].places} == {"bass first"}
    assert not done.left_out


def test_a_side_study_without_the_tune_keeps_what_a_stage_with_it_has_twice():
    # the C out of reach doubles the tune, but is the third of the chord where nothing is sung
    score = replace(score_of(right="C6h C6 | C6w", left="A2e E3+C4 rq A2e E3+C4 rq | A2w"), tempi=(Tempo(0, 200.0),))
    stages = {s.title: s for s in build_ladder(score, read(score, "ACE:8", left="march bass"))}
    assert "C4" in line(stages["Harmonic rhythm"].notes, score, 1)


def test_a_side_study_has_what_a_stage_has_no_hand_for_under_the_tune():
    """Under the F the hand cannot hold the E flat of its chord; where the tune is not, it can."""
    score = score_of(right="F5q E4+A4+C5q rh", left="rw")
    tune, *chord = (note for note in score.notes)
    together = [as_is(tune), *(replace(as_is(note), onset=0) for note in chord)]
    drafts = [
        Draft(Rung("harmonic rhythm", side=True), ("harmonic rhythm",), in_order(together[1:])),
        Draft(Rung("blocked chords"), ("blocked chords",), in_order(together)),
        Draft(Rung("as written"), ("as written",), tuple(as_is(note) for note in score.notes)),
    ]
    study, stage, _ = make_playable(
        keyboard(replace(score, tempi=(Tempo(0, 240),)), 12, {tune.id}), drafts, NoteChanges((), score)
    )
    assert line(stage.notes, score, 1) == "0 A4+C5+F5 1"
    assert line(study.notes, score, 1) == "0 E4+A4+C5 1"


@pytest.mark.parametrize(
    ("right", "taken"),
    [
        ("C5+D5w", "0 F#4+C5+D5 4m"),
        ("A4+C5+D5w", "0 F#4+A4+C5+D5 4m"),
        ("C5+D5h C5+D5h", "0 C5+D5 2 | 2 C5+D5 2"),  # it strikes again while the chord is held
        ("F#4+D5w", "0 F#4+D5 4"),  # it has that tone
        ("G4+B4+C5+D5w", "0 G4+B4+C5+D5 4"),  # it has no finger left
        ("C6+D6w", "0 C6+D6 4"),  # it does not reach it
        ("rw", "0 A3+F#4 4m"),  # it is silent, and takes all
    ],
)
def test_a_tone_that_nothing_else_sounds_goes_to_the_chord_of_the_other_hand(right, taken):
    score = score_of(right=right, left="D2s F#4 A3 D3 D2 F#4 A3 D3 D2 F#4 A3 D3 D2 F#4 A3 D3")
    made = material(score, "DF#AC:4")
    chord = next(b for b in chords_of_harmonies(made) if b.staff == 2)
    held = [replace(as_is(n), duration=score.end) if n.staff == 2 else as_is(n) for n in score.notes]
    wide = [replace(n, onset=0) for n in held if n.sources[0] in {head.id for head in chord.heads}]
    above = [n for n in held if n.staff == 1]
    done = under_the_hand(keyboard(score, 12, {chord.heads[0].id}), in_order([*above, *wide]))
    assert line(done.notes, score, 1) == taken
    assert line(done.notes, score, 2) == "0 D2+D3 4"


@pytest.mark.parametrize(
    ("tempo", "chord", "left"),
    [
        # a chord of three quarters of a second is no time to roll: bass and chord, as the score has them
        (80, "A3+C4+Eb4", "0 C3 1/2 | 1/2 A3+C4+Eb4 1/2 | 1 F3+C4+F4 1"),
        # there is time to roll a tenth, but no hand is meant to roll an eleventh
        (50, "A3+C4+Eb4", "0 C3+A3+C4+Eb4 1r | 1 F3+C4+F4 1"),
        (50, "C4+Eb4+F4", "0 C3 1/2 | 1/2 C4+Eb4+F4 1/2 | 1 F3+C4+F4 1"),
    ],
)
def test_a_chord_comes_after_its_bass_rather_than_in_haste_or_as_an_eleventh(tempo, chord, left):
    score = score_of("A4+F5q A4+F5", f"C3e {chord} F3 C4+F4", metre="2/4")
    timed = replace(score, tempi=(Tempo(0, tempo),))
    done = played(timed, "FACEb/C:1 FAC:1", "simple tune over blocked chords", left="bass and chord")
    assert line(done.notes, score, 2) == left


@pytest.mark.parametrize(
    ("right", "found"),
    [
        ("rq E5q C5h", ("0 F3 1m | 1 E5 1 | 2 C5 2", "0 C2+C3 4")),
        # within the beat it has no time for that
        ("re E5q. C5h", ("1/2 E5 3/2 | 2 C5 2", "0 C2+C3+F3 4r")),
    ],
)
def test_a_hand_that_is_free_for_a_beat_has_what_lies_beyond_a_tenth_until_it_goes_on(right, found):
    score = score_of(right, "C2e C3 F3 C3 C2 C3 F3 C3")
    sung = [as_is(note) for note in score.notes if note.staff == 1]
    low, *_, high = [note for note in score.notes if note.staff == 2]
    chord = [note for note in score.notes if note.staff == 2][:3]
    block = [replace(as_is(note), onset=0, duration=score.end, sources=(note.id, low.id, high.id)) for note in chord]
    done = under_the_hand(keyboard(score, 12, {low.id}), in_order([*sung, *block]))
    assert (line(done.notes, score, 1), line(done.notes, score, 2)) == found


@pytest.mark.parametrize(
    ("tempo", "found"),
    [(120, "0 C2 1/2 | 1/2 G3+E4 7/2"), (300, "0 C2 4")],
)
def test_a_broken_chord_far_above_its_bass_comes_after_it_where_the_hand_has_time_to_go_there(tempo, found):
    score = score_of("C6w", "C2e G3 E4 G3 C2 G3 E4 G3")
    low, fifth, third, *_, last = [note for note in score.notes if note.staff == 2]
    whole = {"onset": 0, "duration": score.end}
    block = [replace(as_is(note), **whole, sources=(note.id, low.id, last.id)) for note in (low, fifth, third)]
    sung = [as_is(note) for note in score.notes if note.staff == 1]
    timed = replace(score, tempi=(Tempo(0, tempo),))
    done = under_the_hand(keyboard(timed, 12, {low.id}), in_order([*sung, *block]))
    assert line(done.notes, score, 2) == found
