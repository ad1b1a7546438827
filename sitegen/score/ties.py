"""Tied noteheads become one sounding note."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import replace

from sitegen.score.nouns import Note


def pair_ties(heads: Sequence[Note], starts: Set[str], stops: Set[str], plain: Set[str]) -> dict[str, str]:
    """From the id of each notehead where a tie starts to that of the one where it stops.

    The two have one pitch (or the second, in ``plain``, no accidental of its own: the tie carries that of the first),
    and the second starts where the first ends. Of several such, the one of the same voice
    is taken first, then of the same staff: a tie may lead into another voice. ``heads`` are in the file's order.
    """
    order = {head.id: place for place, head in enumerate(heads)}
    waiting: dict[int, list[Note]] = defaultdict(list)
    for head in heads:
        if head.id in stops:
            waiting[head.onset].append(head)

    def fits(head: Note, other: Note) -> bool:
        same = other.midi == head.midi or (other.id in plain and other.pitch.diatonic == head.pitch.diatonic)
        return same and (not head.grace or order[other.id] > order[head.id])

    links: dict[str, str] = {}
    for nearness in (_same_voice, _same_staff, _any):
        for head in heads:
            if head.id not in starts or head.id in links:
                continue
            ahead = waiting[head.end]
            found = next((other for other in ahead if nearness(head, other) and fits(head, other)), None)
            if found is not None:
                links[head.id] = found.id
                ahead.remove(found)
    return links


def _same_voice(first: Note, second: Note) -> bool:
    return first.voice == second.voice


def _same_staff(first: Note, second: Note) -> bool:
    return first.home_staff == second.home_staff


def _any(first: Note, second: Note) -> bool:
    return True


def carry_accidentals(heads: Sequence[Note], links: Mapping[str, str], plain: Set[str]) -> list[Note]:
    """The noteheads, where those of ``plain`` that end a tie take the accidental of its start.

    Source: the rule of notation that an accidental holds over a bar line for a note tied across it.
    """
    by_id = {note.id: note for note in heads}
    for head in sorted(heads, key=lambda n: n.onset):
        first = by_id[head.id]
        second = by_id.get(links.get(head.id, ""))
        if second is not None and second.id in plain and second.pitch.diatonic == first.pitch.diatonic:
            by_id[second.id] = replace(second, pitch=first.pitch)
    return [by_id[head.id] for head in heads]


def merge_ties(heads: Sequence[Note], links: Mapping[str, str]) -> tuple[Note, ...]:
    """Join the notes that ``links`` ties (id to id), sorted as a ``Score`` wants them.

    A tie counts only where the second note has the same pitch and starts where the first ends: one left hanging is
    drawn and not played. A grace tied to the note it leads to is that note, struck early.
    """
    by_id = {note.id: note for note in heads}
    order = {note.id: place for place, note in enumerate(heads)}
    followers: dict[str, str] = {}
    continued: set[str] = set()
    for first, second in links.items():
        before, after = by_id.get(first), by_id.get(second)
        if before is None or after is None or second in continued:
            continue
        meets = before.midi == after.midi and before.end == after.onset
        if meets and (before.duration > 0 or order[second] > order[first]):
            followers[first] = second
            continued.add(second)
    notes = []
    for note in heads:
        if note.id in continued:
            continue
        chain = [note]
        while chain[-1].id in followers:
            chain.append(by_id[followers[chain[-1].id]])
        if len(chain) > 1:
            note = replace(
                next((n for n in chain if not n.grace), note),
                id=note.id,
                duration=sum(n.duration for n in chain),
                noteheads=tuple(n.noteheads[0] for n in chain),
                ornaments=tuple(dict.fromkeys(o for n in chain for o in n.ornaments)),
                fermata=any(n.fermata for n in chain),
                slur_start=note.slur_start,
                slur_end=chain[-1].slur_end or note.slur_end,
            )
        notes.append(note)
    return tuple(sorted(notes, key=lambda n: (n.onset, not n.grace, n.midi, n.staff, n.id)))
