"""A MIDI file with each note struck as loud as it is to be. verovio strikes all of them alike."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from sitegen.engraving.nouns import Performance, PlayedNote

_NOTE_ON, _META, _SET_TEMPO = 0x90, 0xFF, 0x51
_USUAL = 500_000  # microseconds a quarter, where a file sets no tempo (Standard MIDI Files 1.0)
_DATA = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}  # bytes behind each status


@dataclass(frozen=True, slots=True)
class _Event:
    """A note begun, or a tempo set: ``place`` is that of the velocity in the file, or the microseconds of a quarter."""

    tick: int
    place: int
    key: int | None


def with_velocities(performance: Performance, velocities: Mapping[str, int]) -> Performance:
    """The performance with its MIDI notes struck with ``velocities`` (1 to 127, by the id of the note). A note of the
    file is that of its key which begins nearest to it."""
    by_key: dict[int, list[PlayedNote]] = defaultdict(list)
    for note in performance.timing.notes:
        by_key[note.midi].append(note)
    data = bytearray(performance.midi)
    for place, key, seconds in _struck(performance.midi):
        nearest = _nearest(by_key.get(key, []), seconds)
        if nearest is not None and nearest.id in velocities:
            data[place] = velocities[nearest.id]
    return replace(performance, midi=bytes(data))


def _nearest(notes: list[PlayedNote], seconds: float) -> PlayedNote | None:
    place = bisect_left(notes, seconds, key=lambda note: note.on)
    return min(notes[max(0, place - 1) : place + 1], key=lambda note: abs(note.on - seconds), default=None)


def _struck(midi: bytes) -> Iterator[tuple[int, int, float]]:
    """Every note of a file in order: the place of its velocity, its key, and when it begins in seconds."""
    division = int.from_bytes(midi[12:14], "big")
    events = sorted((event for track in _tracks(midi) for event in _events(midi, *track)), key=lambda e: e.tick)
    reached, seconds, quarter = 0, 0.0, _USUAL
    for event in events:
        seconds += (event.tick - reached) * quarter / division / 1_000_000
        reached = event.tick
        if event.key is None:
            quarter = event.place
        else:
            yield event.place, event.key, seconds


def _tracks(midi: bytes) -> Iterator[tuple[int, int]]:
    """Where each track begins and ends."""
    place = 14
    while place + 8 <= len(midi):
        length = int.from_bytes(midi[place + 4 : place + 8], "big")
        if midi[place : place + 4] == b"MTrk":
            yield place + 8, place + 8 + length
        place += 8 + length


def _events(midi: bytes, place: int, end: int) -> Iterator[_Event]:
    """The notes that a track begins, and its tempi."""
    tick = status = 0
    while place < end:
        delta, place = _number(midi, place)
        tick += delta
        if midi[place] & 0x80:
            status, place = midi[place], place + 1
        if status >= 0xF0:
            place += status == _META
            length, body = _number(midi, place)
            if status == _META and midi[place - 1] == _SET_TEMPO:
                yield _Event(tick, int.from_bytes(midi[body : body + length], "big"), None)
            place = body + length
            continue
        if status & 0xF0 == _NOTE_ON and midi[place + 1]:
            yield _Event(tick, place + 1, midi[place])
        place += _DATA[status >> 4]


def _number(midi: bytes, place: int) -> tuple[int, int]:
    """A length of as many bytes as it needs, and the place behind it."""
    value = midi[place] & 0x7F
    while midi[place] & 0x80:
        place += 1
        value = value << 7 | midi[place] & 0x7F
    return value, place + 1
