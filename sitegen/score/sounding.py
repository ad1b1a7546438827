"""What sounds where a part is written for a transposing instrument, under an octave sign, or beyond the keyboard.

Source: the MusicXML 4.0 specification, element ``transpose``; the MEI guidelines, ``trans.diat`` and ``trans.semi``,
``oct.ges``.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.fifths import LETTERS
from sitegen.score.nouns import Pitch

LOWEST, HIGHEST = 21, 108
"""The keys of a piano, as MIDI numbers: A0 and C8."""

_NATURAL = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True)
class Transposition:
    """From what is written to what sounds: ``steps`` of the staff and ``semitones``."""

    steps: int = 0
    semitones: int = 0

    def of(self, pitch: Pitch) -> Pitch:
        """The pitch that sounds."""
        if not (self.steps or self.semitones):
            return pitch
        return _nearest(pitch.diatonic + self.steps, pitch.midi + self.semitones)

    def of_key(self, fifths: int) -> int:
        """The key signature of what sounds."""
        sounding = fifths + 7 * self.semitones - 12 * self.steps
        return sounding if -7 <= sounding <= 7 else (sounding + 5) % 12 - 5


def transposition(steps: int | None, semitones: int | None, octaves: int = 0) -> Transposition:
    """As a file gives it; what it leaves out follows from the other."""
    semitones = semitones if semitones is not None else round((steps or 0) * 12 / 7)
    steps = steps if steps is not None else round(semitones * 7 / 12)
    return Transposition(steps + 7 * octaves, semitones + 12 * octaves)


def on_keyboard(pitch: Pitch) -> Pitch:
    """The pitch, or the nearest of its name that a piano has."""
    octaves = -((pitch.midi - HIGHEST + 11) // 12) if pitch.midi > HIGHEST else max(0, (LOWEST - pitch.midi + 11) // 12)
    return Pitch(pitch.step, pitch.alter, pitch.octave + octaves) if octaves else pitch


def _nearest(diatonic: int, midi: int) -> Pitch:
    """The key ``midi``, on the place of the staff nearest to ``diatonic`` from which no more than two signs lead."""
    for place in (diatonic, diatonic - 1, diatonic + 1, diatonic - 2, diatonic + 2):
        octave, step = divmod(place, 7)
        alter = midi - 12 * (octave + 1) - _NATURAL[step]
        if abs(alter) <= 2:
            return Pitch(LETTERS[step], alter, octave)
    octave, key = divmod(midi, 12)
    step = max(k for k in range(7) if _NATURAL[k] <= key)
    return Pitch(LETTERS[step], key - _NATURAL[step], octave - 1)
