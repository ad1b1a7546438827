"""Figures struck at once: the chord that a hand holds, in the hand and position where it lies.

A block is taken from the hand, not from the harmony (``block_heads``). What is too wide for the hand comes position by
position.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from sitegen.reduction.figures.basses import find_basses
from sitegen.reduction.figures.block_heads import by_pitch, heads_of, is_in_octaves, struck_at, struck_in
from sitegen.reduction.figures.voicing import voiced, width
from sitegen.reduction.material import Material, Window, attacks_of
from sitegen.reduction.notes import let_go, to_the_beat
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks

ROLLED = 4  # semitones beyond the hand's span: for a hand that spans an octave, a tenth


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
    return material.once(_find, frozenset(apart), again)


def _find(material: Material, apart: Collection[str], again: bool) -> list[Block]:
    found: list[Block] = []
    for staff in material.score.staves:
        if staff.hand is not None:
            found += _of_a_hand(material, material.windows[staff.number], apart, again)
    return sorted(found, key=lambda b: (b.onset, -b.staff))


def with_syncopations(
    material: Material, window: Window, heads: Sequence[Note], apart: Collection[str], before: Sequence[Note]
) -> tuple[Note, ...]:
    """``heads``, and what its hand has struck since the last beat and holds on for as long again: that has the beat
    too, if the block ``before`` has not struck it. A figure takes in only what lies below it."""
    beat = beat_ticks(material.score, window.onset)
    struck = {note.midi for note in (*heads, *before)}
    early = [
        note
        for note in material.sounding_at(window.staff, window.onset)
        if 0 < window.onset - note.onset < beat
        and note.end - window.onset >= window.onset - note.onset
        and material.roles[note.id] == "figure"
        and note.id not in apart
        and note.midi not in struck
        and (not window.figure or note.midi < heads[0].midi)
    ]
    return tuple(sorted(by_pitch([*heads, *early]), key=lambda n: n.midi))


def _held_over(material: Material, window: Window, apart: Collection[str], before: Block | None) -> tuple[Note, ...]:
    """What a hand that strikes nothing on a beat holds on over it, as in ``with_syncopations``: its block there, where
    that of the same bar ``before`` has not struck all of it."""
    early = with_syncopations(material, window, (), apart, ())
    if before is None:
        return early
    pitches = {note.midi for note in before.heads} if before.members[0].bar == window.notes[0].bar else set()
    return () if {note.midi for note in early} <= pitches else tuple(n for n in early if n not in before.heads)


def whole_blocks(material: Material) -> list[Block]:
    """The block of every figure with all its notes, however wide."""
    found = []
    for staff in material.score.staves:
        windows = material.windows[staff.number] if staff.hand is not None else ()
        for window, heads in zip(windows, struck_in(material, windows), strict=True):
            if heads:
                onset = struck_at(material, window)
                end = max(note.end for note in window.notes)
                found.append(Block(staff.number, onset, min(end, window.end), heads, window.notes, window.figure))
    return found


def _of_a_hand(material: Material, windows: Sequence[Window], apart: Collection[str], again: bool) -> list[Block]:
    found: list[Block] = []
    chosen = struck_in(material, windows)
    for window, heads in zip(windows, chosen, strict=True):
        notes = tuple(note for note in window.notes if note.id not in apart)
        if not notes:
            continue
        if len(notes) < len(window.notes):
            window = replace(window, notes=notes)
            heads = heads_of(material, window)
        before = found[-1].heads if found else ()
        late = not heads
        if heads:
            heads = with_syncopations(material, window, heads, apart, before)
        elif not window.figure and beat_start(material.score, window.onset) == window.onset:
            heads = _held_over(material, window, apart, found[-1] if found else None)
        onset = window.onset if late else struck_at(material, window)
        same = (
            bool(found)
            and not late
            and (_continues(found[-1], window, heads) or _is_afterbeat(material, found[-1], window))
            and not _has_a_new_bass(material, found[-1], heads, onset)
        )
        if found and same and not (again and window.figure and heads):
            found[-1] = replace(found[-1], end=window.end, members=(*found[-1].members, *notes))
        elif heads:
            found += _positions(material, window, heads, onset)
        elif found and found[-1].end >= window.onset and found[-1].members[0].bar == notes[0].bar:
            found[-1] = replace(found[-1], members=(*found[-1].members, *notes), end=window.end)
    return [
        ended(material, block, found[place + 1].onset if place + 1 < len(found) else None)
        for place, block in enumerate(found)
    ]


def _continues(block: Block, window: Window, heads: Sequence[Note]) -> bool:
    """Whether a window strikes nothing but what the block before it, in the same bar, holds already."""
    same_bar = block.members[0].bar == window.notes[0].bar
    if not same_bar or max(block.end, max(note.end for note in block.members)) < window.onset:
        return False
    held = {note.midi for note in block.heads} | {note.midi for note in block.members if note.end > window.onset}
    return bool(heads) and {note.midi for note in heads} <= held


def _has_a_new_bass(material: Material, block: Block, heads: Sequence[Note], onset: int) -> bool:
    """Whether the bass line moves, at ``onset``, to what a chord strikes above the bass of the block before it: the
    hand lets go of that, though it holds the rest of the chord already."""
    bass = material.once(_basses_at).get((block.staff, onset))
    return bass is not None and bass > block.heads[0].midi and bass in {head.midi for head in heads}


def _basses_at(material: Material) -> dict[tuple[int, int], int]:
    return {(bass.note.staff, bass.onset): bass.note.midi for bass in find_basses(material)}


def _is_afterbeat(material: Material, block: Block, window: Window) -> bool:
    """Whether a figure in the second half of a long beat stands in the harmony that has been struck on the beat."""
    start = beat_start(material.score, window.onset)
    same = material.harmony_index(start) == material.harmony_index(window.onset)
    return window.figure and start < window.onset and block.onset == start and same


def _positions(material: Material, window: Window, heads: tuple[Note, ...], onset: int) -> list[Block]:
    """The block of a window, or, where it is too wide for the hand, the bass and then the chord above it. A line in
    broken octaves that goes on has an octave for each beat."""
    if window.figure and is_in_octaves(attacks_of(window.notes)):
        parts = _by_beats(material, window)
        if len({part.notes[0].midi for part in parts}) > 1:
            return [block for part in parts for block in _of_a_beat(material, part)]
    whole = Block(window.staff, onset, window.end, heads, window.notes, window.figure)
    if width(heads) <= material.span or not window.figure:
        return [whole]
    if width(heads) > 2 * material.span and window.end - window.onset > beat_ticks(material.score, window.onset):
        return [block for part in _by_beats(material, window) for block in _of_a_beat(material, part)]
    anchors = anchors_of(material, window.staff, heads, window.end)
    chosen = voiced(heads, anchors, material.span)
    attacks = attacks_of(window.notes)
    bass_first = len(attacks[0]) == 1 and all(len(chord) > 1 for chord in attacks[1:])
    if width(chosen) <= material.span + ROLLED * (not bass_first):
        return [replace(whole, heads=chosen)]
    near = tuple(head for head in chosen if abs(head.midi - anchors[0].midi) <= material.span)
    near = tuple(attacks[0]) if bass_first else near
    far = tuple(head for head in heads if head not in near)
    beat = beat_ticks(material.score, onset)
    firsts = [n for n in window.notes if n.midi in {head.midi for head in far} and n.onset >= onset + beat]
    second = beat_start(material.score, firsts[0].onset) if firsts else 0
    if firsts and not material.rests_before(firsts[0], second):
        second = firsts[0].onset
    after = tuple(n for n in window.notes if n.onset >= second)
    if second <= onset or not near or not after:
        return [replace(whole, heads=chosen)]
    near = tuple(head for head in near if head.onset < second) or near
    rest = _of_a_beat(material, replace(window, onset=second, notes=after))
    return [replace(whole, end=second, heads=near), *rest]


def _by_beats(material: Material, window: Window) -> list[Window]:
    """A window that no hand can take together, cut into its beats."""
    beats = [list(group) for _, group in groupby(window.notes, key=lambda n: beat_start(material.score, n.onset))]
    starts = [max(window.onset, beat_start(material.score, beat[0].onset)) for beat in beats]
    ends = [*starts[1:], window.end]
    return [
        replace(window, onset=start, end=end, notes=tuple(notes))
        for notes, start, end in zip(beats, starts, ends, strict=True)
    ]


def _of_a_beat(material: Material, window: Window) -> list[Block]:
    heads = heads_of(material, window)
    return _positions(material, window, heads, struck_at(material, window)) if heads else []


def anchors_of(material: Material, staff: int, heads: Sequence[Note], until: int) -> list[Note]:
    """What a hand cannot give up while it holds a chord to the tick ``until``: the left hand's lowest note; the melody
    that the right hand sings meanwhile, else its highest."""
    if material.score.hand_of(staff) == "left":
        return [heads[0]]
    onset = min(head.onset for head in heads)
    return list(material.sung_between(staff, beat_start(material.score, onset), until)) or [heads[-1]]


def ended(material: Material, block: Block, following: int | None) -> Block:
    """A block until it is let go: when its hand goes on, or on the last whole beat before it falls silent, but not
    within the rest after which its figure begins. What begins after a rest is one block over as long a rest at its end
    too, where its hand then goes on."""
    last = max(note.end for note in block.members)
    rested = _over_the_rest(material, block, last, following)
    if rested is not None:
        end = beat_start(material.score, last) + beat_ticks(material.score, last)
        return replace(block, end=end, members=(*block.members, rested))
    end = sounds = last if following is None else min(last, following)
    let = let_go(material, block.onset, end, following)
    end = let if let > min(note.onset for note in block.members) else end
    cover = to_the_beat(material, block.staff, block.onset, sounds, following)
    if cover is None:
        return replace(block, end=end)
    whole = block.onset + beat_ticks(material.score, block.onset)
    return replace(block, end=whole, members=(*block.members, cover))


def _over_the_rest(material: Material, block: Block, last: int, following: int | None) -> Note | None:
    """The note with which the hand goes on at the next beat, or later where its block there (``following``) has that,
    after a rest in which several strokes of a block, the last of which ends at ``last``, end as they begin."""
    start, first = beat_start(material.score, last), min(note.onset for note in block.members)
    target = start + beat_ticks(material.score, last)
    strokes = len({note.onset for note in block.members})
    if strokes < 2 or start == last or target - last > first - block.onset or (following or target) < target:
        return None
    later = material.struck_between(block.staff, last, material.score.bar_at(block.onset).end)
    goes_on = bool(later) and target in (later[0].onset, following)
    return next((note for note in later if note.end >= target), None) if goes_on else None
