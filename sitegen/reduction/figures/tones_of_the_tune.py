"""Tones of a harmony that only the melody has, taken from it into the chord that stands for the harmony.

Where the accompaniment has a bass alone, or leaves the third to the tune, its chord is no whole one: a teacher who
writes out the harmony takes what is missing from the tune, where that touches it, and strikes it with the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from sitegen.analysis import Harmony
from sitegen.reduction.figures.blocks import Block
from sitegen.reduction.figures.voicing import width
from sitegen.reduction.material import Material
from sitegen.score import Note

WHOLE = 3  # tones of a whole chord


def with_tones_of_the_tune(material: Material, blocks: Sequence[Block]) -> list[Block]:
    """``blocks``, one or more for each harmony of a bar, and with them, where their tones make no whole chord, what the
    melody touches of the others: struck with the first block, as far as one hand reaches it and is free."""
    found = list(blocks)
    for harmony, start, end in _chords(material):
        inside = [block for block in found if start <= block.onset < end]
        held = [block for block in found if block.onset < start < block.end]
        names = {head.pitch.pitch_class for block in (*inside, *held) for head in block.heads}
        if not inside or len(names & harmony.pitch_classes) >= WHOLE:
            continue
        first = min(inside, key=lambda block: (block.onset, -block.staff))
        for staff in material.score.staves:
            sung = _sung(material, staff.number, first.onset, end)
            mine = [block for block in (*inside, *held) if block.staff == staff.number]
            own = next((block for block in mine if block.onset == first.onset), None)
            leans = any(note.onset == first.onset and not material.is_chord_tone(note) for note in sung)
            if (
                not sung
                or (leans and own is not None and own.figure)
                or (own is None and any(block.end > first.onset for block in mine))
            ):
                continue
            before = own.heads if own else ()
            heads = _added(material, before, first.onset, sung, names & harmony.pitch_classes)
            if own is not None:
                found[found.index(own)] = replace(own, heads=heads, members=(*own.members, *sung))
            elif heads:
                found.append(Block(staff.number, first.onset, end, heads, sung, False))
            names |= {head.pitch.pitch_class for head in heads}
    return found


def _sung(material: Material, staff: int, onset: int, end: int) -> tuple[Note, ...]:
    """What a staff sings from ``onset``, where it is singing already, up to ``end``."""
    before = [n for n in material.sounding_at(staff, onset) if material.roles[n.id] == "melody"]
    return tuple(dict.fromkeys((*before, *material.sung_between(staff, onset, end)))) if before else ()


def _chords(material: Material) -> Iterator[tuple[Harmony, int, int]]:
    """Each harmony of three tones or more in each bar that it sounds in, from one tick to another; what only goes on
    with its tones over another bass is one with it."""
    for tones, group in groupby(material.analysis.harmonies, key=lambda harmony: harmony.pitch_classes):
        same = list(group)
        tick, end = same[0].onset, same[-1].end
        while len(tones) >= WHOLE and tick < end:
            bar = material.score.bar_at(tick)
            yield same[0], tick, min(bar.end, end)
            tick = max(bar.end, tick + 1)


def _added(
    material: Material, heads: Sequence[Note], onset: int, sung: Sequence[Note], names: set[int]
) -> tuple[Note, ...]:
    """``heads``, what is ``sung`` at ``onset``, and of the rest for each name that is not among ``names`` the chord
    tone that is held longest, as far as one hand reaches them all; ``heads`` alone where that adds no name."""
    struck = [note for note in sung if note.onset == onset and material.is_chord_tone(note)]
    found = [*heads, *(note for note in struck if note not in heads)]
    if width(found) > material.span:
        return tuple(heads)
    have = names | {note.pitch.pitch_class for note in struck}
    for note in sorted(sung, key=lambda n: (-n.duration, n.onset, n.midi)):
        new = note.onset > onset and note.pitch.pitch_class not in have and material.is_chord_tone(note)
        if new and width([*found, note]) <= material.span:
            found.append(note)
            have.add(note.pitch.pitch_class)
    return tuple(sorted(found, key=lambda n: n.midi)) if have > names else tuple(heads)
