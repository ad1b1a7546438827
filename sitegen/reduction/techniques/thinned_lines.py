"""A line cut into runs, and sung again by some of its notes, which have the time of those left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sitegen.reduction.material import Material
from sitegen.reduction.notes import stand_for
from sitegen.reduction.nouns import StageNote
from sitegen.score import Note
from sitegen.score.metre import beat_ticks


@dataclass(frozen=True, slots=True)
class Thinned:
    """A kept note, the notes of the line, itself among them, whose time it has, and the tick from which it has it."""

    head: Note
    members: tuple[Note, ...]
    onset: int


def runs(material: Material, line: Sequence[Note]) -> list[list[Note]]:
    """Cut a line where it rests for a beat or longer, and where it moves to another staff."""
    found: list[list[Note]] = []
    end = 0
    for note in line:
        if not found or note.onset - end >= beat_ticks(material.score, note.onset) or note.staff != found[-1][-1].staff:
            found.append([])
            end = note.end
        found[-1].append(note)
        end = max(end, note.end)
    return found


def sing(spans: Iterable[Sequence[Thinned]]) -> list[StageNote]:
    """The notes of a reduced line: each from the start of its span to the start of the next, or the end of its own."""
    notes = []
    for run in spans:
        for place, span in enumerate(run):
            end = max(note.end for note in span.members)
            if place + 1 < len(run):
                end = min(end, run[place + 1].onset)
            if end > span.onset:
                notes.append(stand_for(span.head, span.members, span.onset, end))
    return notes
