"""The chord of a run: the bass that the hand touches in the first beat, and what it reaches from there."""

from __future__ import annotations

from sitegen.reduction.figures.basses import find_basses
from sitegen.reduction.material import OCTAVE, STEP, TENTH, Material, Window, chord_tones, harmony_of_a_beat
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks


def run_chord(material: Material, window: Window) -> tuple[Note, ...]:
    """The notes of a run's window that are struck at once, from low to high: what the hand strikes on its first beat
    and the lowest chord tone in reach of that which the first beat touches; above it what the run touches within an
    octave, each name once and where it is touched first, none a step from another; where that is nothing the octave of
    the bass. A foreign note on the beat that is no bass only leads on to the chord."""
    first = window.notes[0]
    start = beat_start(material.score, first.onset)
    end = start + beat_ticks(material.score, start)
    tones = chord_tones(harmony_of_a_beat(material.analysis, start, end), window.notes)
    struck = sorted((note for note in window.notes if note.onset == first.onset), key=lambda n: n.midi)
    low = struck[0]
    near = [note for note in tones if abs(note.midi - low.midi) <= material.span]
    touched = [note for note in near if note.onset < end and note not in struck]
    if len(struck) == 1 and low not in tones and touched and not _is_bass(material, low):
        struck, bass = [], min(touched, key=lambda n: n.midi)
    else:
        below = [n for n in touched if len(struck) == 1 and low.midi - n.midi > STEP]
        bass = min([low, *below], key=lambda n: n.midi)
    found = [bass] if low is bass or not struck else [low, bass]
    names = {note.pitch.pitch_class for note in found}
    for note in [*struck[1:], *tones]:
        together = note in struck
        reached = bass.midi < note.midi <= bass.midi + (TENTH if together else material.span)
        beside = any(abs(note.midi - other.midi) <= STEP for other in found)
        if reached and not beside and (together or note.pitch.pitch_class not in names):
            found.append(note)
            names.add(note.pitch.pitch_class)
    if len(found) == 1:
        found += [note for note in touched if note.midi == bass.midi + OCTAVE][:1]
    return tuple(sorted(found, key=lambda n: n.midi))


def _is_bass(material: Material, note: Note) -> bool:
    return any(bass.note is note for bass in find_basses(material))
