"""When each note sounds: as tempo and score say, repeats played out, the MIDI file in step with it."""

from __future__ import annotations

import io
from dataclasses import replace

import mido
import pytest
from hypothesis import given, settings

from sitegen.score import Score, Tempo
from tests.engraving.engraved import engraved, played
from tests.generated_scores import scores
from tests.notation import score_of

#: Seconds: the time map counts whole milliseconds, which a slow tempo stretches.
TOLERANCE = 0.002


def _repeated(start: int, end: int, first_ending: int | None = None, right: str = "C5w D5w E5w F5w") -> Score:
    """Four bars of which ``start`` to ``end`` are played twice; a first ending from ``first_ending`` on."""
    score = score_of(right=right, left="C3w D3w E3w F3w")
    bars = list(score.bars)
    bars[start] = replace(bars[start], repeat_start=True)
    bars[end] = replace(bars[end], repeat_end=True)
    if first_ending is not None:
        for index in range(first_ending, end + 1):
            bars[index] = replace(bars[index], endings=(1,))
        bars[end + 1] = replace(bars[end + 1], endings=(2,))
    return replace(score, bars=tuple(bars))


def test_quarters_at_sixty_last_a_second() -> None:
    assert played(engraved("C5q D5 E5h")) == "C5 0-1, D5 1-2, E5 2-4"


def test_tempo_stretches_everything() -> None:
    assert played(engraved("C5q D5 E5h", tempo=120)) == "C5 0-0.5, D5 0.5-1, E5 1-2"


def test_tempo_holds_from_the_start_where_the_music_begins_with_rests() -> None:
    score = replace(score_of(right="rw | rw | C5w"), tempi=(Tempo(0, 63.0, "Andante"),))
    engraving = engraved(score=score, tempo=63)
    assert [round(bar.on * 63 / 60, 2) for bar in engraving.timing.bars] == [0, 4, 8]
    assert {bar.beats_a_minute for bar in engraving.timing.bars} == {63}
    assert mido.MidiFile(file=io.BytesIO(engraving.midi)).length == pytest.approx(12 * 60 / 63, abs=0.1)


def test_both_hands_begin_together() -> None:
    assert played(engraved("C5h D5", "C3w")) == "C3 0-4, C5 0-2, D5 2-4"


def test_a_key_that_both_hands_have_in_one_rolled_chord_is_struck_once() -> None:
    begun = {n.id: n.on for n in engraved("E4+G4h!arp rh", "C4+E4h!arp rh").timing.notes}
    assert begun["C4"] < begun["E4"] == begun["E4.2"] < begun["G4"]


def test_a_repeated_note_with_its_grace_is_struck_twice() -> None:
    begun = {n.id: n.on for n in engraved("C5h E5g E5h").timing.notes}
    assert begun["E5"] < begun["E5.2"]


def test_tied_notes_sound_once() -> None:
    assert played(engraved("C5h. D5h E5h.")) == "C5 0-3, D5 3-5, E5 5-8"


def test_grace_takes_its_time_from_the_notes_around_and_moves_no_other_note() -> None:
    notes = {n.id: n for n in engraved("C5h D5g E5h | F5w").timing.notes}
    assert set(notes) == {"C5", "D5", "E5", "F5"}
    assert 1.5 < notes["D5"].on <= 2.0
    assert notes["E5"].on == pytest.approx(2.0, abs=0.25)
    assert notes["F5"].on == pytest.approx(4.0, abs=TOLERANCE)


def test_bars_follow_each_other_without_a_gap() -> None:
    bars = engraved("G4q | C5w D5w").timing.bars
    assert [(b.bar, b.on, b.off) for b in bars] == [(0, 0, 1), (1, 1, 5), (2, 5, 9)]


def test_silent_bars_take_their_time() -> None:
    timing = engraved("C5w", "C3w D3w C3w").timing
    assert [(b.bar, b.on) for b in timing.bars] == [(0, 0), (1, 4), (2, 8)]
    silent = engraved("C5w rw rw D5w").timing
    assert [(b.bar, b.on) for b in silent.bars] == [(0, 0), (1, 4), (2, 8), (3, 12)]
    assert silent.length == pytest.approx(16, abs=TOLERANCE)


def test_repeat_is_played_twice() -> None:
    timing = engraved(score=_repeated(1, 2)).timing
    assert [b.bar for b in timing.bars] == [0, 1, 2, 1, 2, 3]
    assert [n.id for n in timing.notes if n.midi >= 72] == ["C5", "D5", "E5", "D5", "E5", "F5"]
    assert [n.on for n in timing.notes if n.midi >= 72] == pytest.approx([0, 4, 8, 12, 16, 20], abs=TOLERANCE)
    assert [n.bar for n in timing.notes if n.midi >= 72] == [0, 1, 2, 1, 2, 3]


def test_first_ending_is_left_out_the_second_time() -> None:
    timing = engraved(score=_repeated(0, 1, first_ending=1)).timing
    assert [b.bar for b in timing.bars] == [0, 1, 0, 2, 3]
    assert [n.id for n in timing.notes if n.midi < 60] == ["C3", "D3", "C3", "E3", "F3"]


def test_tempo_marks_change_the_speed_where_they_stand() -> None:
    score = score_of("C5w D5w")
    score = replace(score, tempi=(Tempo(0, 60.0), Tempo(score.bars[1].onset, 120.0)))
    timing = engraved(score=score, tempo=None).timing
    assert [(b.on, b.off) for b in timing.bars] == [(0, 4), (4, 6)]
    assert [round(b.beats_a_minute) for b in timing.bars] == [60, 120]


@settings(max_examples=12, deadline=None)
@given(scores(most_bars=3))
def test_generated_notes_sound_when_the_score_says(score: Score) -> None:
    timing = engraved(score=score).timing
    assert sorted(n.id for n in timing.notes) == sorted(n.id for n in score.notes)
    late = {n.id: (n.on, n.off) for n in timing.notes}
    # what a grace takes, it takes from the notes next to it
    beside = {n.onset for n in score.notes if n.grace}
    for note in score.sounding():
        on, off = late[note.id]
        if note.onset not in beside:
            assert on == pytest.approx(float(score.quarters(note.onset)), abs=TOLERANCE), note.id
        if note.end not in beside and note.onset not in beside:
            assert off == pytest.approx(float(score.quarters(note.end)), abs=TOLERANCE), note.id
    assert [b.bar for b in timing.bars] == list(range(len(score.bars)))


@pytest.mark.parametrize("score", [score_of("C5q D5e3 E5 F5 G5h", "C3w"), _repeated(1, 2)], ids=["plain", "repeated"])
def test_midi_file_is_in_step_with_the_timing(score: Score) -> None:
    engraving = engraved(score=score)
    heard, now = [], 0.0
    for message in mido.MidiFile(file=io.BytesIO(engraving.midi)):
        now += message.time
        if message.type == "note_on" and message.velocity:
            heard.append((round(now, 2), message.note))
    assert sorted(heard) == sorted((round(n.on, 2), n.midi) for n in engraving.timing.notes)


def test_every_note_ends_after_it_begins() -> None:
    assert all(n.off > n.on for n in engraved("C5q D5 E5g F5h", "C3h G3h").timing.notes)
