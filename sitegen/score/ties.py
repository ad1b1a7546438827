"""Tied noteheads become one sounding note."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import replace

from sitegen.score.nouns import Note


def pair_ties(heads: Sequence[Note], starts: Set[str], stops: Set[str]) -> dict[str, str]:
    """From the id of each notehead where a tie starts to that of the one where it stops.

    The two have one pitch, and the second starts where the first ends. Of several such, the one of the same voice
    is taken first, then of the same staff: a tie may lead into another voice.
    """
    waiting: dict[tuple[int, int], list[Note]] = defaultdict(list)
    for head in heads:
        if head.id in stops and not head.grace:
            waiting[head.midi, head.onset].append(head)
    links = {}
    for rank in range(3):
        for head in heads:
            if head.id not in starts or head.id in links:
                continue
            candidates = [c for c in waiting[head.midi, head.end] if c.id != head.id and _distance(head, c) <= rank]
            if candidates:
                links[head.id] = candidates[0].id
                waiting[head.midi, head.end].remove(candidates[0])
    return links


def _distance(first: Note, second: Note) -> int:
    if first.voice == second.voice:
        return 0
    return 1 if first.home_staff == second.home_staff else 2


def merge_ties(heads: Sequence[Note], links: Mapping[str, str]) -> tuple[Note, ...]:
    """Join the notes that ``links`` ties (id to id), sorted as a ``Score`` wants them.

    A tie counts only where the second note has the same pitch and starts where the first ends: one left hanging is
    drawn and not played. A grace tied to the note it leads to is that note, struck early.
    """
    by_id = {note.id: note for note in heads}
    followers = {
        first: second
        for first, second in links.items()
        if first in by_id
        and second in by_id
        and by_id[first].midi == by_id[second].midi
        and by_id[first].end == by_id[second].onset
        and not by_id[second].grace
    }
    continued = set(followers.values())
    notes = []
    for note in heads:
        if note.id in continued:
            continue
        chain = [note]
        while chain[-1].id in followers:
            chain.append(by_id[followers[chain[-1].id]])
        if len(chain) > 1:
            note = replace(
                chain[1] if note.grace else note,
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
