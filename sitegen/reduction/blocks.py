"""Figures struck at once: the chord that a hand's figure spells, in the hand and position where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sitegen.analysis.metre import beat_start, beat_ticks
from sitegen.reduction.basses import choose_bass
from sitegen.reduction.material import Group, Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.positions import Position, anchors_of, beats_of, chord_of, cut, find_positions
from sitegen.reduction.striking import strike
from sitegen.reduction.voicing import voiced, width
from sitegen.score import Note

ROLLED = 4  # semitones beyond the hand's span: for a hand that spans an octave, a tenth


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

    It is voiced for the hand, from the bass up or from the top down. What lies further than ``ROLLED`` semitones beyond
    its span is no chord for rolling: the hand's first position is struck, then the other. Of an arpeggio that goes
    further than twice the hand's span only the positions next to the bass are taken, or next to where it begins.
    """
    found: dict[tuple[int, int], list[Block]] = {}
    struck_above: dict[int, set[int]] = {}
    chords = sorted(_whole(material), key=lambda b: (material.harmony_index(b.onset), b.staff))
    for block in chords:
        harmony = material.harmony_index(block.onset)
        classes = struck_above.setdefault(harmony, set())
        anchors = anchors_of(material, block.staff, block.heads, block.end)
        heads = voiced(block.heads, anchors, material.span, classes, ())
        classes.update(head.pitch.pitch_class for head in heads)
        found[harmony, block.staff] = _in_two(material, replace(block, heads=heads), anchors[0])
    return _together(material, [b for place in sorted(found, key=lambda p: (p[0], -p[1])) for b in found[place]])


def whole_chords(material: Material) -> list[Block]:
    """One block for each harmony and staff with all its tones, however wide."""
    return _together(material, _whole(material))


def _whole(material: Material) -> list[Block]:
    floors = _floors(material)
    low = max((staff.number for staff in material.score.staves if staff.hand == "left"), default=0)
    found = []
    for group in material.groups:
        figure = _figure(material, group, frozenset())
        floor = floors.get(group.harmony)
        above = [n for n in figure if floor is None or n.midi >= floor.midi]
        heads = chord_of(material, _within_reach(material, above, floor if group.staff == low else None))
        if heads:
            found.append(Block(group.staff, heads, figure, group.until))
    return found


def _in_two(material: Material, block: Block, anchor: Note) -> list[Block]:
    """The block, or its two positions one after the other: the bass, and the chord above it, struck where its first
    note comes, a beat later at least."""
    if width(block.heads) <= material.span + ROLLED:
        return [block]
    near = tuple(head for head in block.heads if abs(head.midi - anchor.midi) <= material.span)
    firsts = [head.onset for head in block.heads if head not in near and head.onset > block.onset]
    second = min(firsts, default=block.onset + beat_ticks(material.score, block.onset))
    after = tuple(note for note in block.members if note.onset >= second)
    far = {head.midi for head in block.heads if head not in near}
    again = {note.midi: note for note in reversed(after) if note.midi in far}
    heads = tuple(again[midi] for midi in sorted(again))
    if not near or not heads or width(heads) > material.span:
        return [block]
    return [Block(block.staff, near, block.members, after[0].onset), Block(block.staff, heads, after, block.until)]


def blocks_by_position(material: Material, span: int, apart: frozenset[str] = frozenset()) -> list[Block]:
    """A new block wherever the figure leaves the position of the hand (``span`` semitones), or begins a new bar.

    A position holds whole beats, voiced for the hand, where they can be; the same chord again within a bar is held,
    not struck. ``apart`` are the ids of notes that are in no figure.
    """
    floors = _floors(material)
    kept = frozenset(head.id for block in one_chord_a_harmony(material) for head in block.heads)
    struck_above: dict[int, set[int]] = {}
    found: dict[tuple[int, int], list[Block]] = {}
    for group in sorted(material.groups, key=lambda g: (g.harmony, g.staff)):
        figure = _figure(material, group, apart)
        bass = floors.get(group.harmony) if material.score.hand_of(group.staff) == "left" else None
        positions = find_positions(material, group.staff, figure, span, bass, struck_above, kept)
        for position in positions:
            for beat, _ in beats_of(material, position.members):
                struck_above.setdefault(beat, set()).update(head.pitch.pitch_class for head in position.heads)
        found[group.harmony, group.staff] = _held(group, positions)
    return _together(material, [b for place in sorted(found, key=lambda p: (p[0], -p[1])) for b in found[place]])


def _held(group: Group, positions: Sequence[Position]) -> list[Block]:
    """The blocks of one group: each until the next, the same chord again held on."""
    found: list[Block] = []
    for place, position in enumerate(positions):
        until = positions[place + 1].members[0].onset if place + 1 < len(positions) else group.until
        heads = position.heads
        if not heads and not found:
            heads = (min(position.members, key=lambda n: (n.midi, n.onset)),)
        if found and (not heads or _again(found[-1], heads)):
            found[-1] = Block(group.staff, found[-1].heads, (*found[-1].members, *position.members), until)
        else:
            found.append(Block(group.staff, heads, position.members, until))
    return found


def _together(material: Material, blocks: Sequence[Block]) -> list[Block]:
    """A figure that begins in one hand and goes on in the other within a beat is struck by both at once, and so is one
    that goes on from a note of the melody in the same hand.

    The block then stands for that note too, whose time it takes.
    """
    first: dict[int, Block] = {}
    for block in blocks:
        harmony = material.harmony_index(block.onset)
        if harmony not in first or block.onset < first[harmony].onset:
            first[harmony] = block
    sung = {(note.staff, note.onset): note for note in material.line("melody")}
    free: dict[int, int] = {}
    found = []
    for block in sorted(blocks, key=lambda b: (b.onset, -b.staff)):
        leader = first[material.harmony_index(block.onset)]
        beat = beat_ticks(material.score, block.onset)
        late = block.onset - leader.onset
        start = beat_start(material.score, block.onset)
        above = sung.get((block.staff, start)) if material.score.hand_of(block.staff) == "right" else None
        if above is not None and material.harmony_index(start) != material.harmony_index(block.onset):
            above = None
        if leader.staff != block.staff and 0 < late < beat and free.get(block.staff, 0) <= leader.onset:
            block = replace(block, members=(leader.members[0], *block.members))
        elif above is not None and start < block.onset and free.get(block.staff, 0) <= start:
            block = replace(block, members=(above, *block.members))
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
            mine = (n.end for n in block.members if n.midi == head.midi and n.onset < block.until)
            own = max(mine, default=block.end)
            end = min(max(block.end, own), again.get((block.staff, head.midi), own + block.end))
            notes.append(strike(head, block.members, block.onset, end))
            again[block.staff, head.midi] = block.onset
    notes.reverse()
    return notes


def companions(material: Material) -> frozenset[str]:
    """The ids of the notes that move with the melody of the right hand: in its voice, struck with one of its notes."""
    melody = [n for n in material.line("melody") if material.score.hand_of(n.staff) == "right"]
    sung = {(n.voice, n.staff, n.onset) for n in melody}
    return frozenset(
        n.id for n in material.sounding if material.roles[n.id] == "figure" and (n.voice, n.staff, n.onset) in sung
    )


def _figure(material: Material, group: Group, apart: frozenset[str]) -> tuple[Note, ...]:
    if material.score.hand_of(group.staff) is None:
        return ()
    return tuple(n for n in group.notes if material.roles[n.id] == "figure" and n.id not in apart)


def _floors(material: Material) -> dict[int, Note]:
    """The bass below which no block of its harmony goes."""
    floors: dict[int, Note] = {}
    for group in material.groups:
        if material.score.hand_of(group.staff) == "left" and _figure(material, group, frozenset()):
            floors[group.harmony] = choose_bass(material, group)
    return floors


def _within_reach(material: Material, notes: Sequence[Note], bass: Note | None) -> Sequence[Note]:
    if not notes or max(n.midi for n in notes) - min(n.midi for n in notes) <= 2 * material.span:
        return notes
    parts = cut(notes, material.span)
    first = next((k for k, part in enumerate(parts) if bass in part), 0)
    taken: list[Note] = []
    for part in parts[first:]:
        midis = [n.midi for n in (*taken, *part)]
        if taken and max(midis) - min(midis) > 2 * material.span:
            break
        taken.extend(part)
    return taken


def _again(before: Block, heads: Sequence[Note]) -> bool:
    same = {n.midi for n in before.heads} == {n.midi for n in heads}
    return same and before.heads[0].bar == heads[0].bar
