"""Rests and voices: a rest is printed where the whole staff is silent and where a voice could not be read without;
voices are as few as overlaps ask for."""

from __future__ import annotations

from dataclasses import replace

from sitegen.notation import write_stage
from sitegen.score import Metre
from tests.notation import score_of
from tests.writing.reading_back import read_bars, spelled, stage_of, without_voices


def _written(right: str, metre: str = "4/4", left: str = "", staff: int = 1) -> str:
    score = score_of(right=right, left=left, metre=metre)
    return spelled(write_stage(score, without_voices(stage_of(score))), staff)


def test_silence_of_the_staff_is_a_printed_rest() -> None:
    assert _written("C5q rq D5h") == "C5q rq D5h"


def test_rests_show_every_beat_they_cover() -> None:
    assert _written("C5e re rq re D5e E5q") == "C5e re rq re D5e E5q"


def test_a_silent_half_bar_is_one_rest() -> None:
    assert _written("C5h rh") == "C5h rh"


def test_rests_of_six_eight_keep_to_the_beats() -> None:
    assert _written("C5e rq rq.", "6/8") == "C5e re re rq."


def test_an_empty_bar_is_one_rest_of_the_whole_bar() -> None:
    assert _written("C5w | rw | D5w") == "C5w | r? | D5w"


def test_second_voice_has_a_gap_before_what_it_strikes_with_the_first() -> None:
    assert _written("E5h F5h ; rh C4h", "4/4") == "E5h C4+F5h"
    assert _written("E5h. G5q ; rh. C4e D4e") == "E5h. G5q ; -h -q C4e D4e"


def test_second_voice_has_rests_before_what_it_strikes_alone() -> None:
    assert _written("E5h. G5q ; rh C4h") == "E5h. G5q ; rh C4h"
    assert _written("E5h rq G5q ; C4w") == "E5h rq G5q ; C4w"
    assert _written("E5q F5q G5h ; re C4e D4h.") == "E5q F5q G5h ; re C4e D4h."


def test_voice_that_has_ended_leaves_a_gap() -> None:
    assert _written("E5q F5q G5q A5q ; C4h rh") == "E5q F5q G5q A5q ; C4h -h"


def test_bass_is_not_beamed_with_the_melody_it_lies_far_below() -> None:
    score = score_of(right="E5q F5q C4e G5e A5q")
    notes = tuple(replace(n, voice=0) if n.pitch.name == "C4" else n for n in stage_of(score).notes)
    text = write_stage(score, replace(stage_of(score), notes=notes))
    assert spelled(text) == "E5q F5q re G5e A5q ; rh C4e -e -q"


def test_melody_is_not_beamed_with_the_bass_before_it() -> None:
    score = score_of(right="C4e E6e F6q E6h")
    notes = tuple(replace(n, voice=0) if n.pitch.name == "C4" else n for n in stage_of(score).notes)
    assert spelled(write_stage(score, replace(stage_of(score), notes=notes))) == "re E6e F6q E6h ; C4e -e -q -h"


def test_third_voice_is_tied_into_the_second() -> None:
    assert _written("E5q F5q G5q A5q ; G4h A4h ; C4w") == "E5q F5q G5q A5q ; C4+G4h~ C4+A4h"


def test_third_voice_that_the_score_has_stays() -> None:
    score = score_of(right="E5q F5q G5q A5q ; G4h A4h ; C4w")
    assert spelled(write_stage(score, stage_of(score))) == "E5q F5q G5q A5q ; G4h A4h ; C4w"


def test_held_note_is_not_tied_through_every_note_of_another_voice() -> None:
    third = "E4s F4s E4s F4s E4s F4s E4s F4s E4s F4s E4s F4s E4s F4s E4s F4s"
    assert _written(f"E5q F5q G5q A5q ; C4w ; {third}").count(";") == 2


def test_rest_is_printed_once_where_both_voices_are_silent() -> None:
    assert _written("E5q rq G5h ; C4q rq C4h") == "C4+E5q rq C4+G5h"


def test_notes_struck_and_held_together_are_one_chord() -> None:
    assert _written("C5h D5h ; E5h F5h") == "C5+E5h D5+F5h"


def test_unison_on_one_staff_has_two_stems() -> None:
    score = score_of(right="C5h ; C5h")
    voices = {event.voice for event in read_bars(write_stage(score, stage_of(score)))[0].events if not event.rest}
    assert len(voices) == 2


def test_held_note_and_moving_notes_are_two_voices_the_upper_first() -> None:
    assert _written("C5q D5q E5q F5q ; C4w") == "C5q D5q E5q F5q ; C4w"


def test_voices_of_the_score_are_kept_where_the_stage_keeps_them() -> None:
    score = score_of(right="C4q G5q C4h ; C5w")
    assert spelled(write_stage(score, stage_of(score))) == "C5w ; C4q G5q C4h"


def test_each_staff_has_voice_numbers_of_its_own_in_every_bar() -> None:
    score = score_of(right="C5w | C5h D5h ; C4w~ C4w", left="C3w | D3w")
    voices = {(e.staff, e.voice) for b in read_bars(write_stage(score, stage_of(score))) for e in b.events}
    assert voices == {(1, "1"), (1, "2"), (2, "5")}


def test_left_hand_is_the_second_staff() -> None:
    assert _written("C5w", left="C3h G3h", staff=2) == "C3h G3h"


def test_a_whole_rest_in_a_bar_longer_than_its_metre_is_no_rest_of_the_bar() -> None:
    score = score_of(right="C5w rw", metre="8/4")
    cadenza = replace(score, bars=tuple(replace(bar, metre=Metre(4, 4)) for bar in score.bars))
    assert spelled(write_stage(cadenza, stage_of(cadenza))) == "C5w rw"
