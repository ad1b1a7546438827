"""What a stage keeps of the score, and the nesting of a ladder's stages.

A stage *keeps* a note of the score when one of its own notes has that note among its sources and has its pitch (or,
where it lies by octaves from the note that it is and says that it was moved, its pitch class). A stage *accounts for*
every note among the sources of its own. The ladder is nested in both senses: what a stage keeps or accounts for, the
next one does too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.nouns import StageNote
from sitegen.score import Note


def kept(notes: Sequence[StageNote], by_id: dict[str, Note]) -> set[str]:
    """The ids of the score's notes that a stage keeps."""
    found: set[str] = set()
    for note in notes:
        elsewhere = note.moved and by_id[note.sources[0]].midi != note.midi
        for source in note.sources:
            midi = by_id[source].midi
            if midi == note.midi or (elsewhere and midi % 12 == note.midi % 12):
                found.add(source)
    return found


def accounted(notes: Sequence[StageNote]) -> set[str]:
    """The ids of the score's notes that a stage stands for."""
    return {source for note in notes for source in note.sources}


def take_over(sparser: Sequence[StageNote], fuller: Sequence[StageNote], by_id: dict[str, Note]) -> list[StageNote]:
    """``fuller`` with the sources it lacks of what ``sparser`` keeps and accounts for, and with its missing notes.

    A note of the sparser stage and one of the fuller that keeps the same, or the same pitch of the same figure, stand
    for the same; so the fuller one takes over the sources. A note of the sparser stage of which the fuller one keeps
    nothing is put in as it is: moved, where it was moved there. One that the fuller stage has in its own octave is not
    there a second time.
    """
    have, accounts = kept(fuller, by_id), accounted(fuller)
    result = list(fuller)
    at: dict[str, int] = {}
    anywhere: dict[str, int] = {}
    for place, note in enumerate(result):
        for source in note.sources:
            if by_id[source].midi == note.midi:
                at.setdefault(source, place)
            if source in have and by_id[source].midi % 12 == note.midi % 12:
                anywhere.setdefault(source, place)
    lost: list[StageNote] = []
    for note in sparser:
        head = note.sources[0]
        missing = [s for s in note.sources if s not in accounts or (s not in have and by_id[s].midi == note.midi)]
        again = next((at[s] for s in note.sources if s in at and by_id[s].midi == note.midi), None)
        if again is None and note.moved:
            again = anywhere.get(head)
        if again is None:
            lost.append(_making_room(note, by_id[head], result))
        elif missing:
            result[again] = result[again].standing_for(missing)
    return result + lost


def _making_room(note: StageNote, head: Note, others: Sequence[StageNote]) -> StageNote:
    """``note`` no longer than it is written, where its staff has struck something else by the time it would end."""
    if note.end <= head.end or note.onset >= head.end:
        return note
    moves_on = any(other.staff == note.staff and note.onset < other.onset < note.end for other in others)
    return replace(note, duration=head.end - note.onset) if moves_on else note
