"""Which notes of a figure its block leaves out: what decorates another, what comes when the hand has let go, what is of
the next harmony, and what no hand holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from itertools import pairwise

from sitegen.reduction.material import STEP, Material, Window, attacks_of, shape_of
from sitegen.score import Note
from sitegen.score.metre import BEAT, beat_start, beat_ticks, metrical_level

TURNS = (2, 3)  # how often a figure may run within a window
OCTAVE = 12
FINGERS = 5
PARTS = 4  # of a whole chord: more a line does not mean


def left_out(material: Material, window: Window, turning: Collection[int]) -> set[str]:
    """The ids of the notes of a figure that its block leaves out. ``turning`` are its strokes, counted from 0, that may
    be decorations."""
    leaving = _decorations(material, attacks_of(window.notes), turning)
    leaving |= _moved_on(window.notes)
    leaving |= _of_the_next_harmony(material, window) | _altered(window.notes) | _of_a_second_turn(window)
    leaving |= _in_clusters(material, [n for n in window.notes if n.id not in leaving])
    leaving |= _doubled(material, [n for n in window.notes if n.id not in leaving])
    return leaving | _in_a_crowd(material, [n for n in window.notes if n.id not in leaving])


def _decorations(material: Material, attacks: Sequence[Sequence[Note]], turning: Collection[int]) -> set[str]:
    """The ids of the notes of a figure that only decorate its others: single, foreign to the chord and off the beat. On
    the beat such a note decorates if it leans on the next of the figure, and is not its bass. Where the others would be
    no chord nothing decorates, but in a trill."""
    lowest = min(note.midi for chord in attacks for note in chord)
    leans = leading(material, attacks, [])
    found = {
        attacks[place][0].id
        for place in turning
        if len(attacks[place]) == 1
        and not material.is_chord_tone(attacks[place][0])
        and (
            metrical_level(material.score, attacks[place][0].onset) < BEAT
            or (place in leans and attacks[place][0].midi > lowest)
        )
    }
    kept = {n.midi for chord in attacks for n in chord if n.id not in found}
    is_trill = len(attacks) > 2 and len({n.midi for chord in attacks for n in chord}) == 2
    if len(kept) < 2 and not is_trill:
        return set()
    return {n.id for chord in attacks for n in chord if n.id in found and n.midi not in kept}


def _moved_on(notes: Sequence[Note]) -> set[str]:
    """The ids of the notes to which a slow voice beside the figure moves on by step: the hand has let go by then."""
    shortest = min(note.duration for note in notes)
    slow: dict[int, list[Note]] = {}
    for note in notes:
        if note.duration >= 2 * shortest:
            slow.setdefault(note.voice, []).append(note)
    return {
        other.id
        for line in slow.values()
        for one, other in pairwise(line)
        if one.end == other.onset and 0 < abs(one.midi - other.midi) <= STEP
    }


def _of_the_next_harmony(material: Material, window: Window) -> set[str]:
    """The ids of the notes of a figure that belong to a harmony which comes after its beat and not to that of its
    beginning, unless it only adds a tone to that: in a figure no longer than a beat those that a bass below it turns
    into, in a longer one those at its end that lead on. None where less than two pitches would be left."""
    first = window.notes[0]
    own, classes = material.harmony_index(first.onset), material.harmony(first.onset).pitch_classes
    later = [
        note
        for note in window.notes
        if material.harmony_index(note.onset) != own
        and note.pitch.pitch_class not in classes
        and material.is_chord_tone(note)
        and not classes <= material.harmony(note.onset).pitch_classes
    ]
    if len({note.midi for note in window.notes if note not in later}) < 2 or not later:
        return set()
    if window.end - window.onset > beat_ticks(material.score, window.onset):
        last = beat_start(material.score, window.notes[-1].onset)
        ends = {n.id for n in later if n.onset > last} if last > window.onset else set()
        return ends if all(n.id in ends for n in later) else set()
    turns = _bass_moves(material, window)
    return {note.id for note in later if any(turn <= note.onset for turn in turns)}


def _bass_moves(material: Material, window: Window) -> list[int]:
    """The ticks after its beginning at which a line of another staff, no figure, moves on below a window."""
    lowest = min(note.midi for note in window.notes)
    basses = {h.onset: h.bass for h in material.harmonies_in(window.onset + 1, window.end)}
    return [
        other.onset
        for staff, windows in material.windows.items()
        for beside in windows
        if staff != window.staff and window.onset <= beside.onset < window.end
        for other in beside.notes
        if other.onset > window.onset and other.midi < lowest
        if not beside.figure or basses.get(other.onset) == other.pitch.pitch_class
    ]


def _altered(notes: Sequence[Note]) -> set[str]:
    """The ids of the notes that alter one struck before: a chord holds no note together with its own alteration."""
    first: dict[int, int] = {}
    return {note.id for note in notes if first.setdefault(note.pitch.diatonic, note.midi) != note.midi}


def _of_a_second_turn(window: Window) -> set[str]:
    """The ids of the notes to which a figure of three notes or more moves on within its window: two of them or more a
    step from notes that the hand has let go of. Both turns together are no chord; the first stands on the beat."""
    for count in TURNS:
        length = (window.end - window.onset) // count
        if not length:  # two sixteenths, where there is nothing shorter, are no three turns
            continue
        starts = range(window.onset, window.onset + count * length, length)
        turns = [[n for n in window.notes if start <= n.onset < start + length] for start in starts]
        first, *others = turns
        shape = shape_of(first, window.onset)
        if len(shape[0]) < 3 or any(shape_of(t, s) != shape for t, s in zip(others, starts[1:], strict=True)):
            continue
        left = {note.midi for note in first}
        for turn in others:
            gone = left - {note.midi for note in turn}
            moved = [n for n in turn if n.midi not in left and any(abs(n.midi - midi) <= STEP for midi in gone)]
            if len(moved) > 1:
                return {n.id for other in others for n in other if n.midi not in left}
    return set()


def _in_clusters(material: Material, notes: Sequence[Note]) -> set[str]:
    """The ids of the notes of a figure that no hand holds: in the middle or at the edge of three pitches a step apart,
    or a semitone from one of the chord, foreign to it and always off the beat."""
    tones = {n.midi for n in notes if material.is_chord_tone(n)}
    crowded = _crowded({note.midi for note in notes}) | {midi + way for midi in tones for way in (-1, 1)}
    held = tones | {n.midi for n in notes if metrical_level(material.score, n.onset) >= BEAT}
    return {note.id for note in notes if note.midi in crowded - held}


def _crowded(heights: Collection[int]) -> set[int]:
    """Of pitches those that stand in rows of three a step apart."""
    ordered = sorted(heights)
    return {
        midi
        for three in zip(ordered, ordered[1:], ordered[2:], strict=False)
        if three[2] - three[1] <= STEP and three[1] - three[0] <= STEP
        for midi in three
    }


def _doubled(material: Material, notes: Sequence[Note]) -> set[str]:
    """In a piece in two voices the ids of the notes of a figure that double another in the octave: a line means no tone
    twice. The right hand has it where it lies highest, the left where it lies lowest, and where it has the beat."""
    if not material.two_voices or len({note.pitch.pitch_class for note in notes}) < 2:
        return set()
    right = material.score.hand_of(notes[0].staff) == "right"
    outer, first = (max, None) if right else (min, notes[0].midi)
    heights = {note.midi for note in notes}
    stay = {first} | {outer(midi for midi in heights if (midi - one) % OCTAVE == 0) for one in heights}
    return {note.id for note in notes if note.midi not in stay}


def _in_a_crowd(material: Material, notes: Sequence[Note]) -> set[str]:
    """The ids of the notes of a figure that is a run, and no broken chord: more pitches than a hand has fingers beside
    the tune (in a piece in two voices than a chord has parts), or three a step apart. Its chord has the tones of the
    harmony that takes most of it, if there are two; where they are still too many, each once, where it lies furthest
    out."""
    heights = {note.midi for note in notes}
    end = max((note.end for note in notes), default=0)
    most = PARTS if material.two_voices else FINGERS
    fingers = most - bool(notes and material.sung_between(notes[0].staff, notes[0].onset, end))
    if len(heights) <= fingers and not _crowded(heights):
        return set()
    lengths: Counter[frozenset[int]] = Counter()
    for note in notes:
        lengths[material.harmony(note.onset).pitch_classes] += note.duration
    [(classes, _)] = lengths.most_common(1)
    tones = {note.midi for note in notes if note.pitch.pitch_class in classes}
    if len(tones) > fingers:
        outer = max if material.score.hand_of(notes[0].staff) == "right" else min
        tones = {outer(midi for midi in tones if midi % OCTAVE == name) for name in {midi % OCTAVE for midi in tones}}
    return {note.id for note in notes if note.midi not in tones} if len(tones) > 1 else set()


def leading(material: Material, attacks: Sequence[Sequence[Note]], following: Sequence[Sequence[Note]]) -> set[int]:
    """The strokes of a figure that lean on the next, a single note of the chord: a step above it, or a semitone below.
    What comes after the figure is ``following``."""
    found: set[int] = set()
    for place, (chord, then) in enumerate(pairwise([*attacks, *following])):
        falls = chord[0].midi - then[0].midi
        if len(then) == 1 and (0 < falls <= STEP or falls == -1) and material.is_chord_tone(then[0]):
            found.add(place)
    return found


def flanked(attacks: Sequence[Sequence[Note]]) -> set[int]:
    """The strokes of a figure that stand between notes a step away; of the last one that before it is enough."""
    found: set[int] = set()
    for place in range(1, len(attacks)):
        beside = [attacks[place - 1], *attacks[place + 1 : place + 2]]
        note = attacks[place][0]
        if all(any(0 < abs(other.midi - note.midi) <= STEP for other in chord) for chord in beside):
            found.add(place)
    return found
