"""How tense each harmony is, from 0 to 1, as a sum of named parts.

==============  ======  ========================================================================================
part            weight  what is measured, 0 to 1
==============  ======  ========================================================================================
distance          0.50  from the local tonic in Lerdahl's tonal pitch space (``tonal_space``), full at 16
roughness         0.20  of the chord as voiced (``roughness``; Plomp and Levelt 1965, Sethares 1993)
inversion         0.10  1 where the root is not in the bass; Lerdahl (2001, ch. 4) adds it as surface dissonance
foreign notes     0.20  the share of the time in which the melody has a foreign note that has not resolved yet, or
                        the bass a pedal point foreign to the chord; the same rule of Lerdahl's, for outer voices
==============  ======  ========================================================================================

The weights are ours: they keep the order that Lerdahl and Krumhansl ("Modeling tonal tension", Music Perception 24,
2007) found in listeners, with distance first. Parts are multiples of 1/1024, so that they add up exactly.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from sitegen.analysis.nouns import Harmony, NoteReading, Tension
from sitegen.analysis.tension.roughness import roughness_of_chord
from sitegen.analysis.tension.tonal_space import distance_from_tonic
from sitegen.score import Note, Score

WEIGHTS = {"distance": 0.5, "roughness": 0.2, "inversion": 0.1, "foreign notes": 0.2}
_FULL_DISTANCE = 16
_GRAIN = 1024
_AT_REST = ("chord tone", "ornament")


def measure_tension(
    score: Score, harmonies: Sequence[Harmony], readings: Mapping[str, NoteReading]
) -> tuple[Tension, ...]:
    """The tension of each harmony; 0 in every part where no harmony is found.

    ``readings`` has one entry for every note. Where no note of the score is read as ``melody``, the highest notes
    are taken for it.
    """
    melody, bass = _outer_voices(score, readings)
    voiced: dict[int, set[int]] = defaultdict(set)
    foreign: dict[int, int] = defaultdict(int)
    for note, place, time in _overlaps(score, harmonies):
        harmony = harmonies[place]
        inside = _belongs(note, harmony, readings[note.id])
        pedal = note.id in bass and not inside and _is_pedal(readings[note.id])
        if inside or pedal:
            voiced[place].add(note.midi)
        if pedal or (note.id in melody and not inside and _unresolved(readings[note.id])):
            foreign[place] += time
    return tuple(
        _tension(harmony, voiced[place], min(1.0, foreign[place] / max(1, harmony.duration)))
        for place, harmony in enumerate(harmonies)
    )


def _belongs(note: Note, harmony: Harmony, reading: NoteReading) -> bool:
    """Whether a note is one of the chord: the one that it begins in as it is read, a later one if that holds it."""
    if harmony.pitch_classes and harmony.onset <= note.onset:
        return reading.function == "chord tone"
    return note.pitch.pitch_class in harmony.pitch_classes


def tension_at(score: Score, harmonies: Sequence[Harmony], readings: Mapping[str, NoteReading], tick: int) -> Tension:
    """The tension of the moment ``tick``: of the notes that sound just then, foreign ones too.

    The same parts as ``measure_tension``, so that an appoggiatura can be told from its resolution over one chord.
    Raises ``ValueError`` where no harmony covers ``tick``.
    """
    harmony = next((h for h in harmonies if h.onset <= tick < h.end), None)
    if harmony is None:
        raise ValueError(f"no harmony covers tick {tick}")
    melody, bass = _outer_voices(score, readings)
    sounding = [note for note in score.sounding() if note.onset <= tick < note.end]
    foreign = [note for note in sounding if not _belongs(note, harmony, readings[note.id])]
    leaning = any(note.id in melody and _unresolved(readings[note.id]) for note in foreign)
    pedal = any(note.id in bass and _is_pedal(readings[note.id]) for note in foreign)
    return _tension(harmony, {note.midi for note in sounding}, float(leaning or pedal))


def _tension(harmony: Harmony, voiced: set[int], foreign: float) -> Tension:
    shares = dict.fromkeys(WEIGHTS, 0.0)
    if harmony.pitch_classes:
        if harmony.key is not None and harmony.root is not None:
            far = distance_from_tonic(harmony.pitch_classes, harmony.root, harmony.key, harmony.numeral)
            shares["distance"] = min(1.0, far / _FULL_DISTANCE)
        shares["roughness"] = 1 - math.exp(-roughness_of_chord(voiced))
        shares["inversion"] = float(harmony.bass is not None and harmony.bass != harmony.root)
        shares["foreign notes"] = foreign
    parts = tuple((name, round(WEIGHTS[name] * share * _GRAIN) / _GRAIN) for name, share in shares.items())
    return Tension(harmony.onset, sum(value for _, value in parts), parts)


def _overlaps(score: Score, harmonies: Sequence[Harmony]) -> Iterator[tuple[Note, int, int]]:
    """Every note with each harmony in which it sounds, and for how many ticks."""
    first = 0
    for note in score.sounding():
        while first < len(harmonies) and harmonies[first].end <= note.onset:
            first += 1
        place = first
        while place < len(harmonies) and harmonies[place].onset < note.end:
            harmony = harmonies[place]
            yield note, place, min(note.end, harmony.end) - max(note.onset, harmony.onset)
            place += 1


def _outer_voices(score: Score, readings: Mapping[str, NoteReading]) -> tuple[frozenset[str], frozenset[str]]:
    """The ids of the melody, as read or else the highest notes struck, and of the lowest notes struck."""
    melody = frozenset(id_ for id_, reading in readings.items() if reading.line == "melody")
    struck: dict[int, list[Note]] = defaultdict(list)
    for note in score.sounding():
        struck[note.onset].append(note)
    bass = frozenset(min(notes, key=_pitch).id for notes in struck.values())
    return melody or frozenset(max(notes, key=_pitch).id for notes in struck.values()), bass


def _pitch(note: Note) -> int:
    return note.midi


def _is_pedal(reading: NoteReading) -> bool:
    return "pedal note" in (reading.function, reading.held_as)


def _unresolved(reading: NoteReading) -> bool:
    return reading.function not in _AT_REST or reading.held_as is not None
