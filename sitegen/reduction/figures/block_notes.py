"""The notes of a stage that blocks come to."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.reduction.figures.blocks import Block
from sitegen.reduction.material import Material
from sitegen.reduction.notes import hold, one_value
from sitegen.reduction.nouns import StageNote
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks


def struck(material: Material, blocks: Sequence[Block]) -> list[StageNote]:
    """The notes of blocks, each standing for all notes of its name that lie nearest to it. A note that itself sounds on
    beyond its block (a tie) is held as long as it is written, or until its staff strikes its pitch again; for less than
    a beat only where its hand goes on at the end of the block."""
    again: dict[tuple[int, int], int] = {}
    following: dict[int, int] = {}
    notes: list[StageNote] = []
    for block in reversed(blocks):
        others = _octaves(block)
        beat = beat_ticks(material.score, block.onset)
        for head in block.heads:
            mine = (n.end for n in block.members if n.midi == head.midi)
            own = max(mine, default=block.end)
            hangs_over = own - block.end >= beat or (own > block.end and following.get(block.staff) == block.end)
            end = one_value(material, block.onset, own) if hangs_over else block.end
            until = again.get((block.staff, head.midi), material.score.end)
            end = max(min(end, until), block.onset + 1)
            beats, cover = _in_whole_beats(material, block, end, until) if hangs_over else (end, ())
            note = hold(head, (*block.members, *cover), block.onset, beats)
            notes.append(note.standing_for([*others.get(head.id, ()), *_leaning(block, head)]))
            again[block.staff, head.midi] = block.onset
        following[block.staff] = block.onset
    notes.reverse()
    return notes


def _in_whole_beats(material: Material, block: Block, end: int, until: int) -> tuple[int, tuple[Note, ...]]:
    """Where a note of a block is let go that would end within a beat, beyond the block: after that beat, if it has half
    of it, what its staff plays covers the rest, and its key is not struck before then (``until``); else before the
    beat. With what covers it."""
    start = beat_start(material.score, end)
    if not block.end <= start < end:
        return end, ()
    after = start + beat_ticks(material.score, start)
    covers = (n for n in material.struck_between(block.staff, block.onset, after) if n.end >= after)
    cover = next(covers, None)
    if cover is None or after > until or 2 * (end - start) < after - start:
        return start, ()
    return after, (cover,)


def _leaning(block: Block, head: Note) -> list[str]:
    """The id of what leans on a head in its voice where a block that is no figure is struck, if that comes later."""
    if block.figure or head.onset <= block.onset:
        return []
    voice = [n for n in block.members if n.onset == block.onset and n.voice == head.voice and n not in block.heads]
    return [min(voice, key=lambda n: abs(n.midi - head.midi)).id] if voice else []


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
