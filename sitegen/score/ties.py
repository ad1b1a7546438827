"""Tied noteheads become one sounding note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sitegen.score.nouns import Note


def merge_ties(heads: Sequence[Note], links: dict[str, str]) -> tuple[Note, ...]:
    """Join the notes that ``links`` ties (id to id), sorted as a ``Score`` wants them.

    A tie counts only where the second note has the same pitch and starts where the first ends: a tie into a second
    ending, or one left hanging, is drawn and not played.
    """
    by_id = {note.id: note for note in heads}
    followers = {
        first: second
        for first, second in links.items()
        if first in by_id
        and second in by_id
        and by_id[first].midi == by_id[second].midi
        and by_id[first].end == by_id[second].onset
        and not by_id[first].grace
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
                note,
                duration=sum(n.duration for n in chain),
                noteheads=tuple(n.noteheads[0] for n in chain),
                ornaments=tuple(dict.fromkeys(o for n in chain for o in n.ornaments)),
                fermata=any(n.fermata for n in chain),
                slur_end=chain[-1].slur_end or note.slur_end,
            )
        notes.append(note)
    return tuple(sorted(notes, key=lambda n: (n.onset, not n.grace, n.midi, n.staff, n.id)))
