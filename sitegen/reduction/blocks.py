"""Figures struck at once: the chord that a hand's figure spells, in the hand and position where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from sitegen.reduction.basses import choose_bass
from sitegen.reduction.material import Group, Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import strike
from sitegen.score import Note


@dataclass(frozen=True, slots=True)
class Block:
    """Notes struck together in one staff: the heads from low to high, and all the notes whose time they take."""

    staff: int
    heads: tuple[Note, ...]
    members: tuple[Note, ...]
    until: int

    @property
    def onset(self) -> int:
        return self.members[0].onset

    @property
    def end(self) -> int:
        return min(max(note.end for note in self.members), self.until)


def one_chord_a_harmony(material: Material) -> list[Block]:
    """One block for each harmony and staff, in its full length, nothing of it below the bass.

    Of an arpeggio that goes further than twice the hand's span only the positions next to the bass are taken, or next
    to where it begins; the rest are the same tones again.
    """
    floors = _floors(material)
    low = max((staff.number for staff in material.score.staves if staff.hand == "left"), default=0)
    found = []
    for group in material.groups:
        figure = _figure(material, group)
        if not figure:
            continue
        floor = floors.get(group.harmony)
        above = [n for n in figure if floor is None or n.midi >= floor.midi]
        heads = chord_of(material, _within_reach(material, above, floor if group.staff == low else None))
        if heads:
            found.append(Block(group.staff, heads, figure, group.until))
    return _together(material, found)


def blocks_by_position(material: Material, span: int) -> list[Block]:
    """A new block wherever the figure leaves the position of the hand (``span`` semitones), or begins a new bar.

    The same chord again within a bar is held, not struck. The first block of a harmony ends where it would hold the
    bass with something else below it.
    """
    found: list[Block] = []
    floors = _floors(material)
    for group in material.groups:
        bass = floors.get(group.harmony) if material.score.hand_of(group.staff) == "left" else None
        parts = _positions(material, _figure(material, group), span, bass)
        last: Block | None = None
        for place, members in enumerate(parts):
            until = parts[place + 1][0].onset if place + 1 < len(parts) else group.until
            heads = chord_of(material, members)
            if not heads and last is None:
                heads = (min(members, key=lambda n: (n.midi, n.onset)),)
            if last is not None and (not heads or _again(last, heads)):
                found[-1] = last = Block(group.staff, last.heads, (*last.members, *members), until)
                continue
            last = Block(group.staff, heads, members, until)
            found.append(last)
    return _together(material, found)


def _together(material: Material, blocks: Sequence[Block]) -> list[Block]:
    """A figure that begins in one hand and goes on in the other within a beat is struck by both at once.

    The block of the second hand then stands for the first note of the figure too, whose time it takes.
    """
    first: dict[int, Block] = {}
    for block in blocks:
        harmony = material.harmony_index(block.onset)
        if harmony not in first or block.onset < first[harmony].onset:
            first[harmony] = block
    free: dict[int, int] = {}
    found = []
    for block in sorted(blocks, key=lambda b: (b.onset, -b.staff)):
        leader = first[material.harmony_index(block.onset)]
        beat = material.score.ticks(material.score.bar_at(block.onset).metre.beat_quarters)
        late = block.onset - leader.onset
        if leader.staff != block.staff and 0 < late < beat and free.get(block.staff, 0) <= leader.onset:
            block = replace(block, members=(leader.members[0], *block.members))
        free[block.staff] = max(block.end, *(note.end for note in block.members))
        found.append(block)
    return found


def top_line(material: Material) -> list[StageNote]:
    """The highest note of each block of the highest staff that a hand plays, where no melody is struck above it."""
    sung = {(material.harmony_index(note.onset), note.staff) for note in material.line("melody")}
    sung |= {(harmony, 1) for harmony, _ in sung}
    highest = min((s.number for s in material.score.staves if s.hand == "right"), default=1)
    notes = []
    for block in one_chord_a_harmony(material):
        if block.staff == highest and (material.harmony_index(block.onset), 1) not in sung:
            notes.append(strike(block.heads[-1], block.members, block.onset, block.end))
    return notes


def struck(blocks: Sequence[Block]) -> list[StageNote]:
    """The notes of blocks. A note that itself sounds on beyond its block (a tie) is held as long as it is written,
    or until its staff strikes its pitch again."""
    again: dict[tuple[int, int], int] = {}
    notes: list[StageNote] = []
    for block in reversed(blocks):
        for head in block.heads:
            own = max(n.end for n in block.members if n.midi == head.midi)
            end = min(max(block.end, own), again.get((block.staff, head.midi), own + block.end))
            notes.append(strike(head, block.members, block.onset, end))
            again[block.staff, head.midi] = block.onset
    notes.reverse()
    return notes


def chord_of(material: Material, members: Sequence[Note]) -> tuple[Note, ...]:
    """The chord tones among ``members``, each pitch by its first note (of two voices the longer), from low to high."""
    heads: dict[int, Note] = {}
    for note in members:
        if material.is_chord_tone(note):
            before = heads.setdefault(note.midi, note)
            if before.onset == note.onset and before.duration < note.duration:
                heads[note.midi] = note
    return tuple(heads[midi] for midi in sorted(heads))


def _figure(material: Material, group: Group) -> tuple[Note, ...]:
    if material.score.hand_of(group.staff) is None:
        return ()
    return tuple(note for note in group.notes if material.roles[note.id] == "figure")


def _floors(material: Material) -> dict[int, Note]:
    """The bass below which no block of its harmony goes."""
    floors: dict[int, Note] = {}
    for group in material.groups:
        if material.score.hand_of(group.staff) == "left" and _figure(material, group):
            floors[group.harmony] = choose_bass(material, group)
    return floors


def _positions(material: Material, notes: Sequence[Note], span: int, bass: Note | None) -> list[tuple[Note, ...]]:
    parts: list[list[Note]] = []
    low = high = 0
    for _, together in groupby(notes, key=lambda note: note.onset):
        chord = list(together)
        bottom, top = min(n.midi for n in chord), max(n.midi for n in chord)
        inside = parts and max(high, top) - min(low, bottom) <= span and parts[-1][-1].bar == chord[0].bar
        if inside and not (len(parts) == 1 and bass and _off_its_bass(material, [*parts[0], *chord], bass)):
            parts[-1].extend(chord)
            low, high = min(low, bottom), max(high, top)
        else:
            parts.append(chord)
            low, high = bottom, top
    return [tuple(part) for part in parts]


def _within_reach(material: Material, notes: Sequence[Note], bass: Note | None) -> Sequence[Note]:
    if not notes or max(n.midi for n in notes) - min(n.midi for n in notes) <= 2 * material.span:
        return notes
    parts = _positions(material, notes, material.span, None)
    first = next((k for k, part in enumerate(parts) if bass in part), 0)
    taken: list[Note] = []
    for part in parts[first:]:
        midis = [n.midi for n in (*taken, *part)]
        if taken and max(midis) - min(midis) > 2 * material.span:
            break
        taken.extend(part)
    return taken


def _off_its_bass(material: Material, members: Sequence[Note], bass: Note) -> bool:
    """Whether a block of ``members`` would hold the bass with something else below it."""
    heads = chord_of(material, members)
    classes = [head.pitch.pitch_class for head in heads]
    return bass.pitch.pitch_class in classes and classes[0] != bass.pitch.pitch_class


def _again(before: Block, heads: Sequence[Note]) -> bool:
    same = {n.midi for n in before.heads} == {n.midi for n in heads}
    return same and before.heads[0].bar == heads[0].bar
