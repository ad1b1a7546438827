"""Figures struck at once: the chord that a hand holds, in the hand and position where it lies.

A block is taken from the hand, not from the harmony: every pitch of the figure belongs to it, the suspension and the
sounding seventh too. Left out are only notes that decorate another from within the figure: foreign to the chord, off
the beat, and a step from the notes on both sides. Where a hand plays no figure its block is what it strikes on the
beat.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from sitegen.analysis.metre import BEAT, beat_start, beat_ticks, metrical_level
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import hold
from sitegen.reduction.voicing import voiced, width
from sitegen.reduction.windows import Window, attacks_of, find_windows
from sitegen.score import Note

ROLLED = 4  # semitones beyond the hand's span: for a hand that spans an octave, a tenth
STEP = 2  # semitones
VALUES = frozenset(
    value * dots for value in (Fraction(2) ** power for power in range(-3, 3)) for dots in (1, Fraction(3, 2))
)
"""The lengths in quarters of the notes that take one sign: a value, or a value with a dot."""


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


def _with_syncopations(
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
    return tuple(sorted(_by_pitch([*heads, *early]), key=lambda n: n.midi))


def whole_blocks(material: Material) -> list[Block]:
    """The block of every figure with all its notes, however wide."""
    found = []
    for staff in material.score.staves:
        windows = material.windows[staff.number] if staff.hand is not None else ()
        for window, heads in zip(windows, struck_in(material, windows), strict=True):
            if heads:
                onset = _struck_at(material, window)
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
        if heads:
            heads = _with_syncopations(material, window, heads, apart, found[-1].heads if found else ())
        onset = _struck_at(material, window) if heads else None
        same = bool(found) and _continues(found[-1], window, heads)
        if found and same and not (again and window.figure and heads):
            found[-1] = replace(found[-1], end=window.end, members=(*found[-1].members, *notes))
        elif onset is not None:
            found += _positions(material, window, heads, onset)
        elif found and found[-1].end >= window.onset and found[-1].members[0].bar == notes[0].bar:
            found[-1] = replace(found[-1], members=(*found[-1].members, *notes), end=window.end)
    return [
        replace(block, end=_end(material, block, found[place + 1].onset if place + 1 < len(found) else None))
        for place, block in enumerate(found)
    ]


def struck_in(material: Material, windows: Sequence[Window]) -> list[tuple[Note, ...]]:
    """What the block of each window strikes. Windows of one shape are treated alike: what decorates in one of them, but
    not in the one before or after, is no decoration."""
    attacks = [attacks_of(window.notes) for window in windows]
    near = [_flanked(chords) if window.figure else set() for window, chords in zip(windows, attacks, strict=True)]
    found = []
    for place, window in enumerate(windows):
        turning = near[place]
        for other in (place - 1, place + 1):
            if 0 <= other < len(windows) and windows[other].figure and len(attacks[other]) == len(attacks[place]):
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
        return tuple(sorted(_by_pitch(attacks[0]), key=lambda n: n.midi))
    if _is_in_octaves(attacks):
        return tuple(sorted((note for chord in attacks[:2] for note in chord), key=lambda n: n.midi))
    leaving = _decorations(material, attacks, _flanked(attacks) if turning is None else turning)
    leaving |= _moved_on(window.notes)
    return tuple(sorted(_by_pitch([n for n in window.notes if n.id not in leaving]), key=lambda n: n.midi))


def _flanked(attacks: Sequence[Sequence[Note]]) -> set[int]:
    """The strokes of a figure that stand between notes a step away; of the last one that before it is enough."""
    found: set[int] = set()
    for place in range(1, len(attacks)):
        beside = [attacks[place - 1], *attacks[place + 1 : place + 2]]
        note = attacks[place][0]
        if all(any(0 < abs(other.midi - note.midi) <= STEP for other in chord) for chord in beside):
            found.add(place)
    return found


def _decorations(material: Material, attacks: Sequence[Sequence[Note]], turning: Collection[int]) -> set[str]:
    """The ids of the notes of a figure that only decorate its others: single, foreign to the chord and off the beat."""
    found = {
        attacks[place][0].id
        for place in turning
        if len(attacks[place]) == 1
        and not material.is_chord_tone(attacks[place][0])
        and metrical_level(material.score, attacks[place][0].onset) < BEAT
    }
    kept = {n.midi for chord in attacks for n in chord if n.id not in found}
    return (
        {n.id for chord in attacks for n in chord if n.id in found and n.midi not in kept} if len(kept) > 1 else set()
    )


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
    first = window.notes[0]
    return len(window.notes) == 1 and first.duration <= beat_ticks(material.score, first.onset) // 2


def _is_sung_along(material: Material, window: Window) -> bool:
    """Whether what a window strikes first, off the beat, goes along with a note of the melody in its voice: it has no
    beat of its own."""
    first = window.notes[0]
    sung = material.sung_between(window.staff, first.onset, first.onset + 1)
    return any(note.voice == first.voice for note in sung)


def _struck_at(material: Material, window: Window) -> int:
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
    return start if on_the_beat and not busy and material.rests_before(first, start) else first.onset


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
    return _positions(material, window, heads, _struck_at(material, window)) if heads else []


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
    return one_value(material, block.onset, min(end, max(block.end, last)))


def whole_end(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on then lasts for whole beats."""
    start = beat_start(material.score, end)
    return start if onset < start < end else end


def one_value(material: Material, onset: int, end: int) -> int:
    """``end``, or the beat before it where a note from ``onset`` on would else need a second value or a second dot in
    its last bar, or hang over into it for less than a beat; what is tied into that bar for longer stays so."""
    last = max(onset, material.score.bar_at(end - 1).onset)
    if onset < last and end - last < beat_ticks(material.score, last):
        return last
    if material.score.quarters(end - last) in VALUES:
        return end
    start = whole_end(material, onset, end)
    return start if start > last else end


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
            end = one_value(material, block.onset, own) if own > block.end else block.end
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
    without what only doubles another tone out of reach; held through the harmony. A tune that is itself a figure, known
    by its repetition, is struck with it."""
    found = []
    for staff in material.score.staves:
        windows = _with_the_tune(material, staff.number) if staff.hand is not None else ()
        chosen = zip(windows, struck_in(material, windows), strict=True)
        for _, group in groupby(chosen, key=lambda w: (material.harmony_index(w[0].onset), w[0].notes[0].bar)):
            together = list(group)
            window, heads = next(((w, h) for w, h in together if h), (together[0][0], ()))
            if not heads:
                continue
            members = tuple(note for w, _ in together for note in w.notes)
            anchors = anchors_of(material, staff.number, heads, together[-1][0].end)
            onset = _struck_at(material, window)
            struck_once = voiced(heads, anchors[:1], material.span)
            found.append(Block(staff.number, onset, together[-1][0].end, struck_once, members, window.figure))
    ordered = sorted(found, key=lambda b: (b.onset, -b.staff))
    following: dict[int, int] = {}
    ended = []
    for block in reversed(ordered):
        ended.append(replace(block, end=_end(material, block, following.get(block.staff))))
        following[block.staff] = block.onset
    return ended[::-1]


def _with_the_tune(material: Material, staff: int) -> list[Window]:
    """The windows of a staff's accompaniment, and those of figures that hold the tune in place of what they cover."""
    notes = [note for note in material.of_staff(staff) if note.id not in material.ornaments]
    sung = [
        window
        for window in find_windows(material.score, material.analysis, staff, notes)
        if window.figure and any(material.roles[note.id] == "melody" for note in window.notes)
    ]
    taken = {note.id for window in sung for note in window.notes}
    rest = [window for window in material.windows[staff] if not any(note.id in taken for note in window.notes)]
    return sorted([*sung, *rest], key=lambda window: window.onset)


def companions(material: Material) -> frozenset[str]:
    """The ids of the notes that move with the melody: in its voice, struck with one of its notes."""
    sung = {(n.voice, n.staff, n.onset) for n in material.line("melody")}
    return frozenset(
        n.id for n in material.sounding if material.roles[n.id] == "figure" and (n.voice, n.staff, n.onset) in sung
    )
