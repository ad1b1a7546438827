"""What leans in a line, and on which note: that has the time of both.

A foreign note on a beat that goes on by step leans (Kostka and Payne, *Tonal Harmony*, "Nonchord Tones": appoggiatura,
suspension, accented passing and neighbour notes). Foreign is also what a whole chord under it lacks, if its goal is in
that chord.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.analysis import TEACHERS_READING
from sitegen.reduction.figures import lowest_at
from sitegen.reduction.material import Material
from sitegen.reduction.melody.line_reading import in_scale, is_step, is_weaker
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks

PREPARED = frozenset({"suspension", "retardation"})
ACCOMPANIED = 3  # pitch classes of an accompaniment that is a whole chord
ORNAMENTAL = 4  # into how many parts a beat is cut to find the shortest note that leans
DISSONANT = frozenset({1, 2, 5, 6, 10, 11})  # semitones above the bass, octaves left out


def goal_of(material: Material, run: Sequence[Note], place: int) -> tuple[int, tuple[Note, ...]]:
    """The index of the note that has the time of a note on a beat: itself, or what it leans on; with what leans. What
    is shorter than a quarter of the beat leans too, but as an ornament that is written out."""
    note = run[place]
    if place + 1 == len(run) or in_scale(material, run, place) or not _is_foreign(material, run, place):
        return place, ()
    goal = place + 1
    reading = material.reading(note)
    if reading.function in PREPARED and reading.resolves_to:
        # a resolution may be decorated itself
        goal = next((k for k in range(place + 1, min(place + 5, len(run))) if run[k].id == reading.resolves_to), goal)
    after = run[goal]
    if (
        note.voice != after.voice
        or not is_step(note, after)
        or after.onset - note.end >= beat_ticks(material.score, note.onset) // 2
    ):
        return place, ()
    chord = material.harmony(note.onset)
    before = run[place - 1] if place else None
    reached = before is not None and (is_step(before, note) or before.midi == note.midi) and before.end >= note.onset
    if not is_weaker(material, after, note) and (reached or is_weaker(material, note, after)):
        return place, ()
    stays = _on_one_ground(material, note, after)
    if not (stays and not _is_foreign(material, run, goal)) and after.pitch.pitch_class not in chord.pitch_classes:
        return place, ()
    is_ornament = ORNAMENTAL * note.duration < beat_ticks(material.score, note.onset)
    return goal, () if is_ornament else (note,)


def resolution_of(material: Material, run: Sequence[Note], place: int, tick: int) -> tuple[int, tuple[Note, ...]]:
    """As ``goal_of``, for a note that is held over the beat at ``tick``."""
    note = run[place]
    if place + 1 == len(run):
        return place, ()
    chord = material.harmony(tick)
    foreign = bool(chord.pitch_classes) and note.pitch.pitch_class not in chord.pitch_classes
    changed = material.harmony_index(tick) != material.harmony_index(note.onset)
    after = run[place + 1]
    if not foreign or not changed or not is_step(note, after):
        return place, ()
    stays = material.harmony_index(after.onset) == material.harmony_index(tick)
    if not stays or after.pitch.pitch_class not in chord.pitch_classes:
        return place, ()
    return place + 1, (note,)


def _is_foreign(material: Material, run: Sequence[Note], place: int) -> bool:
    """Whether a note does not belong: to its harmony, or to the whole chord that accompanies it, if what it goes on to
    by step does and the teacher does not say otherwise."""
    note = run[place]
    if not material.is_chord_tone(note):
        return True
    if place + 1 == len(run) or material.reading(note).reasons == TEACHERS_READING:
        return False
    after = run[place + 1]
    if not is_step(note, after) or not _on_one_ground(material, note, after):
        return False
    under = material.accompaniment(note.onset)
    classes = note.pitch.pitch_class, after.pitch.pitch_class
    if len(under) < ACCOMPANIED or classes[0] in under:
        return False
    bass = lowest_at(material, beat_start(material.score, note.onset))
    above = [(pc - bass.pitch.pitch_class) % 12 for pc in classes] if bass is not None else []
    return classes[1] in under or (bool(above) and above[0] in DISSONANT and above[1] not in DISSONANT)


def _on_one_ground(material: Material, one: Note, other: Note) -> bool:
    """Whether two notes stand in one harmony, or over an accompaniment that stays the same where the tune alone makes
    another harmony of it."""
    places = material.harmony_index(one.onset), material.harmony_index(other.onset)
    under = material.accompaniment(one.onset)
    return places[0] == places[1] or (len(under) >= ACCOMPANIED and under == material.accompaniment(other.onset))
