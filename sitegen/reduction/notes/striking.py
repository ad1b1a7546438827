"""Making one note of a stage out of the notes it stands for.

Every note of a stage has a head, the note of the score whose pitch it has; it is struck where the span of its sources
begins and held no longer than that span (invariant 2 of the design).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import attrgetter

from sitegen.reduction.nouns import StageNote
from sitegen.score import Note

_ONSET, _END = attrgetter("onset"), attrgetter("end")


def strike(
    head: Note,
    members: Sequence[Note],
    onset: int | None = None,
    end: int | None = None,
    ornaments: tuple[str, ...] = (),
) -> StageNote:
    """A note with the pitch of ``head``, from ``onset`` to ``end`` (where left out: from the first to the last of
    ``members``). Its sources are the head, its repetitions among ``members``, and as few others as the span asks for.

    Raises ``ValueError`` where ``members`` do not cover the span.
    """
    first, last = _span(head, members)
    onset = first if onset is None else onset
    end = last if end is None else end
    if not first <= onset < end <= last:
        raise ValueError(f"{head.id} cannot sound from {onset} to {end}: its sources span {first} to {last}")
    sources = {head.id: head}
    sources.update((note.id, note) for note in members if note.midi == head.midi)
    if min(note.onset for note in sources.values()) > onset:
        opening = min(members, key=lambda n: (n.onset, n.midi, n.id))
        sources[opening.id] = opening
    if max(note.end for note in sources.values()) < end:
        closing = max(members, key=lambda n: (n.end, n.onset, -n.midi, n.id))
        sources[closing.id] = closing
    return StageNote("", onset, end - onset, head.pitch, head.staff, tuple(sources), ornaments=ornaments)


def hold(head: Note, members: Sequence[Note], onset: int, end: int) -> StageNote:
    """As ``strike``, but ``onset`` may lie in the short rest before the first of ``members``, whose time it takes."""
    first, _ = _span(head, members)
    note = strike(head, members, max(onset, first), end)
    return note if onset >= first else replace(note, onset=onset, duration=end - onset)


def stand_for(head: Note, members: Sequence[Note], onset: int, end: int, ornaments: tuple[str, ...] = ()) -> StageNote:
    """As ``strike``, but accounting for all of ``members``: for a line, whose notes each decorate the head."""
    sources = dict.fromkeys((head.id, *(note.id for note in members)))
    return StageNote("", onset, end - onset, head.pitch, head.staff, tuple(sources), ornaments=ornaments)


def _span(head: Note, members: Sequence[Note]) -> tuple[int, int]:
    """From the first onset of notes to the last of their ends."""
    return min([head.onset, *map(_ONSET, members)]), max([head.end, *map(_END, members)])


def as_is(note: Note) -> StageNote:
    """``note`` as the score has it."""
    return StageNote(
        "", note.onset, note.duration, note.pitch, note.staff, (note.id,), note.grace, note.arpeggio, False,
        note.voice, note.ornaments, note.small,
    )  # fmt: skip


def in_order(notes: Iterable[StageNote]) -> tuple[StageNote, ...]:
    """The notes as a ``Score`` orders them: by onset, graces first, from low to high."""
    return tuple(sorted(notes, key=_place))


def _place(note: StageNote) -> tuple[int, bool, int, int, tuple[str, ...]]:
    return (note.onset, False, 0, 0, ()) if note.grace else (note.onset, True, note.midi, note.staff, note.sources)
