"""The notes of a stage that blocks come to."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.analysis.metre import beat_ticks
from sitegen.reduction.blocks import Block
from sitegen.reduction.material import Material
from sitegen.reduction.note_values import one_value
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import hold


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
            end = max(min(end, again.get((block.staff, head.midi), end)), block.onset + 1)
            notes.append(hold(head, block.members, block.onset, end).standing_for(others.get(head.id, ())))
            again[block.staff, head.midi] = block.onset
        following[block.staff] = block.onset
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
