"""The tune with one note for each beat, and its leaning notes put back.

What is taken out gives its time forward where it stood on the beat, backward where it did not: what leans gives it to
its goal (``leaning``), notes between the beats decorate the note before them. Upbeats shorter than a beat are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sitegen.reduction.material import Material
from sitegen.reduction.melody.line_reading import runs_of, upbeats_of
from sitegen.reduction.melody.on_beats import BeatOfTune, events_of, in_every_bar, without_returns
from sitegen.reduction.notes import stand_for, to_the_beat, whole_end
from sitegen.reduction.nouns import StageNote
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks


@dataclass(frozen=True, slots=True)
class Slot:
    """A note of the tune that is struck at ``onset``, a beat, and held until ``end``. ``members`` are the notes of the
    tune whose time it has, itself among them; ``leaning`` those that lean on it, in order, each struck at its beat."""

    onset: int
    end: int
    head: Note
    members: tuple[Note, ...]
    leaning: tuple[Note, ...] = ()


def simple_tune(material: Material) -> list[Slot]:
    """The tune with at most one note a beat, without what decorates it."""
    return material.once(_simple)


def sing(slots: Sequence[Slot]) -> list[StageNote]:
    """The notes of slots."""
    return [stand_for(slot.head, slot.members, slot.onset, slot.end) for slot in slots]


def sing_leaning(material: Material, slots: Sequence[Slot]) -> list[StageNote]:
    """The notes of slots with what leans on them put back: each leaning note until its goal, as it is written."""
    notes: list[StageNote] = []
    for slot in slots:
        if not slot.leaning:
            notes.append(stand_for(slot.head, slot.members, slot.onset, slot.end))
            continue
        goal = max(slot.onset, slot.head.onset)
        starts = [max(slot.onset, note.onset) for note in slot.leaning]
        for note, start, end in zip(slot.leaning, starts, [*starts[1:], goal], strict=True):
            before = notes[-1] if notes else None
            if before is not None and before.sources[0] == note.id and before.end == start:
                notes[-1] = replace(before, duration=end - before.onset)
            elif start < end:
                notes.append(stand_for(note, (note,), start, min(end, note.end)))
        if goal < slot.end:
            notes.append(stand_for(slot.head, [n for n in slot.members if n not in slot.leaning], goal, slot.end))
    return notes


def _simple(material: Material) -> list[Slot]:
    found: list[Slot] = []
    ends: dict[int, int] = {}
    for run in runs_of(material, material.line("melody")):
        first = run[0]
        bar = material.score.bar_at(first.onset)
        goes_on = ends.get(first.staff, 0) > bar.onset
        off_the_beat = bool(bar.lead) and beat_start(material.score, first.onset) < first.onset
        found += _slots(material, run, upbeats_of(material, run) if goes_on or off_the_beat else 0)
        ends[first.staff] = max(note.end for note in run)
    return found


def _slots(material: Material, run: Sequence[Note], first: int) -> list[Slot]:
    events = in_every_bar(material, list(events_of(material, run, first)), run, first)
    events = without_returns(material, events)
    last = max(note.end for note in run)
    slots = []
    for event, following in zip(events, [*events[1:], None], strict=True):
        end, stop = (following.onset, following.place) if following else (last, len(run))
        members = _joined(material, event, run[event.place : stop])
        members += _small(material, members[-1], end)
        reached = max(note.end for note in members)
        if following and following.head.onset < following.onset and _rests_shortly(material, reached, following.head):
            members += (following.head,)  # its time before the beat on which it is struck
        end = min(end, max(max(note.end for note in members), event.onset + 1))
        end = whole_end(material, event.onset, end)
        cover = to_the_beat(material, run[0].staff, event.onset, end, following.onset if following else None)
        if cover is not None and all(cover.id != other.head.id for other in events):
            members, end = (*members, cover), event.onset + beat_ticks(material.score, event.onset)
        slots.append(Slot(event.onset, end, event.head, members, event.leaning))
    return slots


def _rests_shortly(material: Material, reached: int, note: Note) -> bool:
    """Whether the tune, which has sounded until ``reached``, comes to a note without a rest, or in the same bar without
    one of a beat."""
    bar = material.score.bar_at(note.onset)
    return note.onset - reached < (beat_ticks(material.score, note.onset) if reached > bar.onset else 1)


def _joined(material: Material, event: BeatOfTune, notes: Sequence[Note]) -> tuple[Note, ...]:
    """The notes whose time a slot has: up to a bar line beyond which its head does not sound, or a rest of half a beat
    after which its pitch does not come back."""
    bar = material.score.bar_at(event.onset)
    joined = [event.head, *event.leaning]
    reached = max(note.end for note in joined)
    back = max((k for k, note in enumerate(notes) if note.midi == event.head.midi), default=0)
    for place, note in enumerate(notes):
        rests = note.onset - reached >= beat_ticks(material.score, event.onset) // 2
        if (rests and place > back) or note.onset >= max(bar.end, event.head.end):
            break
        joined.append(note)
        reached = max(reached, note.end)
    return tuple(dict.fromkeys(joined))


def _small(material: Material, note: Note, end: int) -> tuple[Note, ...]:
    """The small notes that decorate what follows ``note``, whose time it has."""
    return tuple(n for n in material.struck_between(note.staff, note.onset, end) if n.id in material.ornaments)
