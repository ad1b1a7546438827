"""Layers laid on each other, made playable as notes: no key is struck while it is held.

Where two notes of one pitch overlap, in one hand or in two, the earlier ends where the later begins; where they begin
together they are one note, the longer, with the sources of both.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sitegen.reduction.notes.striking import in_order
from sitegen.reduction.nouns import StageNote


def tidy(notes: Iterable[StageNote]) -> tuple[StageNote, ...]:
    """The notes in order, without two of one pitch at one time. Graces are left as they are."""
    graces = [note for note in notes if note.grace]
    keys: dict[int, list[StageNote]] = {}
    for note in in_order(note for note in notes if not note.grace):
        held = keys.setdefault(note.midi, [])
        if held and held[-1].onset == note.onset:
            held[-1] = _one(held[-1], note)
        elif held and held[-1].end > note.onset:
            held[-1] = replace(held[-1], duration=note.onset - held[-1].onset)
            held.append(note)
        else:
            held.append(note)
    return in_order([*graces, *(note for held in keys.values() for note in held)])


def _one(first: StageNote, second: StageNote) -> StageNote:
    longer, shorter = (first, second) if first.duration >= second.duration else (second, first)
    return replace(
        longer.standing_for(shorter.sources),
        ornaments=tuple(dict.fromkeys((*longer.ornaments, *shorter.ornaments))),
        rolled=longer.rolled or shorter.rolled,
    )
