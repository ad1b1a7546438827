"""The teacher's chords made complete: in which key a numeral counts, and until when a chord lasts that has no end."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis.chords import Spelled, is_numeral, spell
from sitegen.analysis.harmony import find_harmonies
from sitegen.analysis.harmony.afterbeats import keep_the_bass
from sitegen.analysis.harmony.given import GivenChord
from sitegen.analysis.nouns import Harmony, harmony_index
from sitegen.analysis.readings import ChordReading, KeyReading, Readings
from sitegen.analysis.reasons import TEACHERS_READING
from sitegen.fifths import spelled
from sitegen.score import Score


def hear_with(score: Score, readings: Readings) -> tuple[Harmony, ...]:
    """The harmonies of ``score`` with the chords and keys of ``readings``, without the names that follow from them.

    What is said without its key or its end takes these from the music as it is heard with all the rest that is said.
    Raises ``ValueError`` for a name that is no chord.
    """
    whole = {reading: _whole(reading, readings.keys) for reading in readings.chords}
    chords = [chord for chord in whole.values() if chord is not None]
    heard = keep_the_bass(score, find_harmonies(score, chords, readings.keys))
    if len(chords) == len(whole):
        return heard
    onsets = sorted(reading.onset for reading in readings.chords)
    chords = [whole[r] or _completed(score, r, heard, onsets, readings.keys) for r in readings.chords]
    return keep_the_bass(score, find_harmonies(score, chords, readings.keys))


def without_seams(harmonies: Sequence[Harmony]) -> tuple[Harmony, ...]:
    """Neighbours, one of them given, that are one chord by every name, made one."""
    found: list[Harmony] = []
    for harmony in harmonies:
        before = found[-1] if found else None
        if (
            before is not None
            and TEACHERS_READING in (before.reasons, harmony.reasons)
            and _names(before) == _names(harmony)
        ):
            found[-1] = replace(before, duration=harmony.end - before.onset, reasons=TEACHERS_READING)
        else:
            found.append(harmony)
    return tuple(found)


def _names(harmony: Harmony) -> Harmony:
    return replace(harmony, onset=0, duration=0, reasons=(), degree="")


def _whole(reading: ChordReading, keys: Sequence[KeyReading]) -> GivenChord | None:
    """The chord, if it needs nothing more to be known."""
    key = _key_said(reading.onset, keys)
    if reading.end is None or (key is None and is_numeral(reading.name)):
        return None
    return GivenChord(reading.onset, reading.end, _spelled(reading.name, key), _key_of(reading, key))


def _completed(
    score: Score, reading: ChordReading, heard: Sequence[Harmony], onsets: Sequence[int], keys: Sequence[KeyReading]
) -> GivenChord:
    here = harmony_index(heard, reading.onset)
    key = _key_said(reading.onset, keys) or _key_heard(score, heard, here)
    end = reading.end
    if end is None:
        following = bisect_right(onsets, reading.onset)
        lasts = heard[here].end if heard[here].pitch_classes else score.bar_at(reading.onset).end
        end = min(lasts, *onsets[following : following + 1], score.end)
    return GivenChord(reading.onset, end, _spelled(reading.name, key), _key_of(reading, key))


def _key_of(reading: ChordReading, key: str | None) -> str | None:
    return key if is_numeral(reading.name) else None


def _key_said(tick: int, keys: Sequence[KeyReading]) -> str | None:
    return next((one.key for one in reversed(keys) if one.onset <= tick < one.end), None)


def _key_heard(score: Score, heard: Sequence[Harmony], here: int) -> str:
    """The key of a harmony; where it has none that of the nearest with one, else the major key of the signature."""
    near = sorted(range(len(heard)), key=lambda place: (abs(place - here), place))
    found = next((key for place in near if (key := heard[place].key) is not None), None)
    return found or f"{spelled(score.bar_at(heard[here].onset).fifths)} major"


def _spelled(name: str, key: str | None) -> Spelled:
    found = spell(name, key)
    if found is None:
        raise ValueError(f"'{name}' is no chord")
    return found
