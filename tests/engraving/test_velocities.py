"""The published MIDI file is struck as loud as it is told, whatever its tempo and its repeats."""

from __future__ import annotations

import io

import mido

from sitegen.engraving.nouns import Performance
from sitegen.engraving.tempo import at_tempo
from sitegen.engraving.velocities import with_velocities
from tests.engraving.engraved import engraved


def _struck(midi: bytes) -> list[tuple[int, int]]:
    file = mido.MidiFile(file=io.BytesIO(midi))
    return [(m.note, m.velocity) for m in mido.merge_tracks(file.tracks) if m.type == "note_on" and m.velocity]


def test_each_note_of_the_file_has_the_velocity_of_the_note_that_is_drawn() -> None:
    engraving = engraved("C5q D5 C5 E5 | C5h. D5q", "C3h C3 | C3w", tempo=60)
    performance = at_tempo(Performance(engraving.timing, engraving.midi, 60), 97)
    told = {note.id: 20 + place for place, note in enumerate(performance.timing.notes)}
    midi = with_velocities(performance, told).midi
    expected = sorted((note.midi, told[note.id]) for note in performance.timing.notes)
    assert sorted(_struck(midi)) == expected


def test_nothing_else_of_the_file_is_changed() -> None:
    engraving = engraved("C5q D5 C5 E5", "C3h C3")
    performance = Performance(engraving.timing, engraving.midi, 60)
    assert with_velocities(performance, {}).midi == engraving.midi
    told = with_velocities(performance, {"D5": 33}).midi
    assert sum(a != b for a, b in zip(told, engraving.midi, strict=True)) == 1
    assert (74, 33) in _struck(told)
