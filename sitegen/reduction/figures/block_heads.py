"""What the block of a window strikes, and on which beat.

Every pitch of a figure belongs to its block, the suspension and the sounding seventh too. Left out are only notes that
decorate another from within the figure: foreign to the chord, off the beat, and a step from the notes on both sides.
Where a hand plays no figure its block is what it strikes on the beat.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sitegen.reduction.figures.left_out import flanked, leading, left_out
from sitegen.reduction.figures.run_chords import run_chord
from sitegen.reduction.material import Material, Window, attacks_of, shape_of
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks


def struck_in(material: Material, windows: Sequence[Window]) -> list[tuple[Note, ...]]:
    """What the block of each window strikes. Windows of one shape are treated alike: what decorates in one of them, but
    not in the one before or after, is no decoration."""
    attacks = [attacks_of(window.notes) for window in windows]
    shapes = [shape_of(window.notes, window.onset) for window in windows]
    near = []
    for window, chords, after in zip(windows, attacks, (*windows[1:], None), strict=False):
        goes_on = after is not None and after.onset == window.end
        following = attacks_of(after.notes)[:1] if goes_on and after is not None else []
        near.append(flanked(chords) | leading(material, chords, following) if window.figure else set())
    found = []
    for place, window in enumerate(windows):
        turning = near[place]
        for other in (place - 1, place + 1):
            if 0 <= other < len(windows) and windows[other].figure and shapes[other] == shapes[place]:
                turning = turning & near[other]
        found.append(heads_of(material, window, turning))
    return found


def heads_of(material: Material, window: Window, turning: Collection[int] | None = None) -> tuple[Note, ...]:
    """The notes of a window that its block strikes, from low to high, each pitch by its first note; none where all of
    the window is an upbeat, or moves on under a held note. ``turning`` are the strokes of the figure, counted from 0,
    that may be decorations: where left out, all that stand between notes a step away."""
    attacks = attacks_of(window.notes)
    if not window.figure:
        late = attacks[0][0].onset > window.onset
        if late and (_is_held(material, window) or _is_upbeat(material, window) or _is_sung_along(material, window)):
            return ()
        return tuple(sorted(by_pitch(attacks[0]), key=lambda n: n.midi))
    if is_in_octaves(attacks):
        return tuple(sorted((note for chord in attacks[:2] for note in chord), key=lambda n: n.midi))
    if window.run:
        return run_chord(material, window)
    if turning is None:
        turning = flanked(attacks) | leading(material, attacks, [])
    leaving = left_out(material, window, turning)
    return tuple(sorted(by_pitch([n for n in window.notes if n.id not in leaving]), key=lambda n: n.midi))


def is_in_octaves(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether a figure is a line in broken octaves: then its first octave is what the hand holds."""
    if len(attacks) < 4 or len(attacks) % 2 or any(len(chord) > 1 for chord in attacks):
        return False
    line = [chord[0].midi for chord in attacks]
    return all(abs(line[k] - line[k + 1]) == 12 for k in range(0, len(line), 2))


def by_pitch(notes: Sequence[Note]) -> list[Note]:
    first: dict[int, Note] = {}
    for note in notes:
        before = first.setdefault(note.midi, note)
        if before.onset == note.onset and before.duration < note.duration:
            first[note.midi] = note
    return list(first.values())


def _is_held(material: Material, window: Window) -> bool:
    """Whether the staff holds a note of its accompaniment over the beginning of the window; in the left hand also a
    tune that lies below all that the window strikes first, for that is its bass."""
    lowest = min(note.midi for note in attacks_of(window.notes)[0])
    is_left = material.score.hand_of(window.staff) == "left"
    return any(
        note.onset < window.onset and (material.roles[note.id] == "figure" or (is_left and note.midi < lowest))
        for note in material.sounding_at(window.staff, window.onset)
    )


def _is_upbeat(material: Material, window: Window) -> bool:
    """Whether all that a window strikes is a single short note that leads on to the next beat."""
    first = window.notes[0]
    return len(window.notes) == 1 and first.duration <= beat_ticks(material.score, first.onset) // 2


def _is_sung_along(material: Material, window: Window) -> bool:
    """Whether what a window strikes first, off the beat, goes along with a note of the melody in its voice: it has no
    beat of its own."""
    first = window.notes[0]
    sung = material.sung_between(window.staff, first.onset, first.onset + 1)
    return any(note.voice == first.voice for note in sung)


def struck_at(material: Material, window: Window) -> int:
    """The beat on which a block is struck: that on which its window begins, if the figure begins after a short rest;
    after a longer rest that of its first note; and where its voice comes over from the other staff, its first note."""
    first = min(window.notes, key=lambda n: n.onset)
    start = window.onset
    if first.onset - start >= beat_ticks(material.score, first.onset):
        start = max(start, beat_start(material.score, first.onset))
    on_the_beat = beat_start(material.score, start) == start
    mine = material.struck_between(first.staff, start, first.onset)
    # a tune may be printed in one voice with its figure
    others = (note for note in mine if material.roles[note.id] == "figure" or not window.figure)
    busy = any(note.voice == first.voice for note in others)
    voices = {note.voice for note in window.notes if note.onset == first.onset}
    busy = busy or any(note.voice in voices and material.roles[note.id] == "figure" for note in mine)
    return start if on_the_beat and not busy and material.rests_before(first, start) else first.onset
