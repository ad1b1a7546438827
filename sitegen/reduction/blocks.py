"""Figures struck at once: the chord that a hand holds, in the hand and position where it lies.

A block is taken from the hand, not from the harmony: every pitch of the figure belongs to it, the suspension and the
sounding seventh too. Left out are only notes that decorate another from within the figure: foreign to the chord, off
the beat, and a step from the notes on both sides. Where a hand plays no figure its block is what it strikes on the
beat.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from sitegen.analysis.metre import beat_start, beat_ticks, metrical_level
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import hold
from sitegen.reduction.voicing import voiced, width
from sitegen.reduction.windows import Window
from sitegen.score import Note

ROLLED = 4  # semitones beyond the hand's span: for a hand that spans an octave, a tenth
STEP = 2  # semitones


@dataclass(frozen=True, slots=True)
class Block:
    """Notes struck together in one staff at ``onset``: the heads from low to high, and all whose time they take.

    ``end`` is where the hand goes on or falls silent; ``figure`` whether they come from a figure.
    """

    staff: int
    onset: int
    end: int
    heads: tuple[Note, ...]
    members: tuple[Note, ...]
    figure: bool


def find_blocks(material: Material, apart: Collection[str] = (), again: bool = False) -> list[Block]:
    """The blocks of all hands in order of onset, the lowest staff first. The same chord, or less of it, is held within
    a bar; with ``again`` a figure is struck anew whenever it begins anew. ``apart`` are ids of notes that are in none.
    """
    found: list[Block] = []
    for staff in material.score.staves:
        if staff.hand is not None:
            found += _of_a_hand(material, material.windows[staff.number], apart, again)
    return sorted(found, key=lambda b: (b.onset, -b.staff))


def whole_blocks(material: Material) -> list[Block]:
    """The block of every figure with all its notes, however wide."""
    found = []
    for staff in material.score.staves:
        for window in material.windows[staff.number] if staff.hand is not None else ():
            heads = heads_of(material, window)
            if heads:
                onset = _struck_at(material, window, heads)
                end = max(note.end for note in window.notes)
                found.append(Block(staff.number, onset, min(end, window.end), heads, window.notes, window.figure))
    return found


def _of_a_hand(material: Material, windows: Sequence[Window], apart: Collection[str], again: bool) -> list[Block]:
    found: list[Block] = []
    for window in windows:
        notes = tuple(note for note in window.notes if note.id not in apart)
        if not notes:
            continue
        window = replace(window, notes=notes)
        heads = heads_of(material, window)
        onset = _struck_at(material, window, heads) if heads else None
        same = bool(found) and _continues(found[-1], window, heads)
        if found and same and not (again and window.figure and heads):
            found[-1] = replace(found[-1], end=window.end, members=(*found[-1].members, *notes))
        elif onset is not None:
            found += _positions(material, window, heads, onset)
        elif found and found[-1].end >= window.onset:
            found[-1] = replace(found[-1], members=(*found[-1].members, *notes), end=window.end)
    return [
        replace(block, end=_end(material, block, found[place + 1].onset if place + 1 < len(found) else None))
        for place, block in enumerate(found)
    ]


def heads_of(material: Material, window: Window) -> tuple[Note, ...]:
    """The notes of a window that its block strikes, from low to high, each pitch by its first note; none where all of
    the window is an upbeat, or moves on under a held note."""
    attacks = [list(chord) for _, chord in groupby(window.notes, key=lambda n: n.onset)]
    if not window.figure:
        late = attacks[0][0].onset > window.onset
        if late and (_is_held(material, window) or _is_upbeat(material, window)):
            return ()
        return tuple(sorted(_by_pitch(attacks[0]), key=lambda n: n.midi))
    if _is_in_octaves(attacks):
        attacks = attacks[:2]
    decorating = _decorations(material, attacks)
    return tuple(
        sorted(_by_pitch([n for chord in attacks for n in chord if n.id not in decorating]), key=lambda n: n.midi)
    )


def _decorations(material: Material, attacks: Sequence[Sequence[Note]]) -> set[str]:
    """The notes of a figure that only decorate its others; never its first."""
    found: set[str] = set()
    for before, chord, after in zip(attacks, attacks[1:], attacks[2:], strict=False):
        note = chord[0]
        if len(chord) > 1 or material.is_chord_tone(note) or metrical_level(material.score, note.onset) >= 3:
            continue
        near = [other for other in (*before, *after) if 0 < abs(other.midi - note.midi) <= STEP]
        if any(n in near for n in before) and any(n in near for n in after):
            found.add(note.id)
    last = attacks[-1]
    if (
        len(attacks) > 2
        and len(last) == 1
        and not material.is_chord_tone(last[0])
        and (
            any(0 < abs(n.midi - last[0].midi) <= STEP for n in attacks[-2])
            and len({n.midi for a in attacks for n in a}) > 2
        )
    ):
        found.add(last[0].id)
    pitches = {n.midi for chord in attacks for n in chord if n.id not in found}
    return (
        {n.id for chord in attacks for n in chord if n.id in found and n.midi not in pitches}
        if len(pitches) > 1
        else set()
    )


def _is_in_octaves(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether a figure is a line in broken octaves: then its first octave is what the hand holds."""
    if len(attacks) < 4 or len(attacks) % 2 or any(len(chord) > 1 for chord in attacks):
        return False
    line = [chord[0].midi for chord in attacks]
    return all(abs(line[k] - line[k + 1]) == 12 for k in range(0, len(line), 2))


def _by_pitch(notes: Sequence[Note]) -> list[Note]:
    first: dict[int, Note] = {}
    for note in notes:
        before = first.setdefault(note.midi, note)
        if before.onset == note.onset and before.duration < note.duration:
            first[note.midi] = note
    return list(first.values())


def _is_held(material: Material, window: Window) -> bool:
    """Whether the staff holds a note of its accompaniment over the beginning of the window."""
    return any(
        note.onset < window.onset < note.end and material.roles[note.id] == "figure"
        for note in material.sounding_at(window.staff, window.onset)
    )


def _is_upbeat(material: Material, window: Window) -> bool:
    """Whether all that a window strikes is a single short note that leads on to the next beat."""
    onsets = {note.onset for note in window.notes}
    last = window.notes[-1]
    return len(window.notes) == 1 and last.duration <= beat_ticks(material.score, last.onset) // 2 and len(onsets) == 1


def _struck_at(material: Material, window: Window, heads: Sequence[Note]) -> int:
    """The beat on which a block is struck: that on which its window begins, if the figure begins after a short rest;
    after a longer rest that of its first note."""
    first = min(note.onset for note in window.notes)
    if first - window.onset < beat_ticks(material.score, first):
        return window.onset
    return max(window.onset, beat_start(material.score, first))


def _continues(block: Block, window: Window, heads: Sequence[Note]) -> bool:
    """Whether a window strikes nothing but what the block before it, in the same bar, holds already."""
    same_bar = block.members[0].bar == window.notes[0].bar
    if not same_bar or max(block.end, max(note.end for note in block.members)) < window.onset:
        return False
    held = {note.midi for note in block.heads} | {note.midi for note in block.members if note.end > window.onset}
    return bool(heads) and {note.midi for note in heads} <= held


def _positions(material: Material, window: Window, heads: tuple[Note, ...], onset: int) -> list[Block]:
    """The block of a window, or, where it is too wide for the hand, the bass and then the chord above it."""
    whole = Block(window.staff, onset, window.end, heads, window.notes, window.figure)
    if width(heads) <= material.span or not window.figure:
        return [whole]
    anchors = anchors_of(material, window.staff, heads, window.end)
    chosen = voiced(heads, anchors, material.span, (), ())
    if width(chosen) <= material.span + ROLLED:
        return [replace(whole, heads=chosen)]
    near = tuple(head for head in chosen if abs(head.midi - anchors[0].midi) <= material.span)
    far = tuple(head for head in heads if head not in near)
    beat = beat_ticks(material.score, onset)
    firsts = [n.onset for n in window.notes if n.midi in {head.midi for head in far} and n.onset >= onset + beat]
    second = beat_start(material.score, min(firsts)) if firsts else 0
    after = tuple(n for n in window.notes if n.onset >= second)
    again = {n.midi: n for n in reversed(after) if n.midi in {head.midi for head in far}}
    later = tuple(again[midi] for midi in sorted(again))
    if second <= onset or not near or not later:
        return [replace(whole, heads=chosen)]
    if width(later) > material.span:
        later = voiced(later, later[:1], material.span, (), ())
    return [
        replace(whole, end=second, heads=near),
        Block(window.staff, second, window.end, later, after, window.figure),
    ]


def anchors_of(material: Material, staff: int, heads: Sequence[Note], until: int) -> list[Note]:
    """What a hand cannot give up while it holds a chord to the tick ``until``: the left hand's lowest note; the melody
    that the right hand sings meanwhile, else its highest."""
    if material.score.hand_of(staff) == "left":
        return [heads[0]]
    onset = min(head.onset for head in heads)
    return list(material.sung_between(staff, beat_start(material.score, onset), until)) or [heads[-1]]


def _end(material: Material, block: Block, following: int | None) -> int:
    """Where a block is let go: when its hand goes on, or on the last whole beat before it falls silent."""
    last = max(note.end for note in block.members)
    end = last if following is None else min(last, following)
    return whole_end(material, block.onset, min(end, max(block.end, last)))


def whole_end(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where the note from ``onset`` on then lasts for whole beats."""
    start = beat_start(material.score, end)
    return start if onset < start < end else end


def struck(material: Material, blocks: Sequence[Block]) -> list[StageNote]:
    """The notes of blocks, each standing for all notes of its name that lie nearest to it. A note that itself sounds on
    beyond its block (a tie) is held as long as it is written, or until its staff strikes its pitch again."""
    again: dict[tuple[int, int], int] = {}
    notes: list[StageNote] = []
    for block in reversed(blocks):
        others = _octaves(block)
        for head in block.heads:
            mine = (n.end for n in block.members if n.midi == head.midi)
            own = max(mine, default=block.end)
            end = whole_end(material, block.onset, own) if own > block.end else block.end
            end = max(min(end, again.get((block.staff, head.midi), end)), block.onset + 1)
            notes.append(hold(head, block.members, block.onset, end).standing_for(others.get(head.id, ())))
            again[block.staff, head.midi] = block.onset
    notes.reverse()
    return notes


def _octaves(block: Block) -> dict[str, list[str]]:
    """The ids of the members that are struck in no other octave than that of the head nearest to them, by its id."""
    found: dict[str, list[str]] = {}
    pitches = {head.midi for head in block.heads}
    for note in block.members:
        same = [head for head in block.heads if head.midi % 12 == note.midi % 12]
        if same and note.midi not in pitches:
            nearest = min(same, key=lambda head: (abs(head.midi - note.midi), head.midi))
            found.setdefault(nearest.id, []).append(note.id)
    return found


def chords_of_harmonies(material: Material) -> list[Block]:
    """One block for each harmony of a bar and staff: its first figure, or first chord, however far that reaches,
    without what only doubles another tone out of reach; held through the harmony."""
    found = []
    for staff in material.score.staves:
        windows = material.windows[staff.number] if staff.hand is not None else ()
        for _, group in groupby(windows, key=lambda w: (material.harmony_index(w.onset), w.notes[0].bar)):
            together = [(window, heads_of(material, window)) for window in group]
            window, heads = next(((w, h) for w, h in together if h), (together[0][0], ()))
            if not heads:
                continue
            members = tuple(note for w, _ in together for note in w.notes)
            anchors = anchors_of(material, staff.number, heads, together[-1][0].end)
            onset = _struck_at(material, window, heads)
            chosen = voiced(heads, anchors[:1], material.span, (), ())
            found.append(Block(staff.number, onset, together[-1][0].end, chosen, members, window.figure))
    ordered = sorted(found, key=lambda b: (b.onset, -b.staff))
    following: dict[int, int] = {}
    ended = []
    for block in reversed(ordered):
        ended.append(replace(block, end=_end(material, block, following.get(block.staff))))
        following[block.staff] = block.onset
    return ended[::-1]


def companions(material: Material) -> frozenset[str]:
    """The ids of the notes that move with the melody: in its voice, struck with one of its notes."""
    sung = {(n.voice, n.staff, n.onset) for n in material.line("melody")}
    return frozenset(
        n.id for n in material.sounding if material.roles[n.id] == "figure" and (n.voice, n.staff, n.onset) in sung
    )
