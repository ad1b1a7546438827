"""The drafts of a ladder made playable, and who plays what."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from sitegen.reduction.adjustments import NoteChanges
from sitegen.reduction.hands import Keyboard, report, under_the_hand
from sitegen.reduction.ladder import Draft, lasting_name
from sitegen.reduction.notes import in_order
from sitegen.reduction.nouns import HandReport, StageNote
from sitegen.reduction.techniques import HANDS_ALONE, alone
from sitegen.score import Hand


@dataclass(frozen=True, slots=True)
class Played:
    """The notes of a stage as hands can play them, and what the hands are asked for."""

    notes: tuple[StageNote, ...]
    hands: tuple[HandReport, ...]


def make_playable(keys: Keyboard, drafts: Sequence[Draft], changes: NoteChanges) -> list[Played]:
    """One for each draft, the last of which is the score as written, which is not changed.

    They are made from the fullest down, so that what a hand must leave out is left out of all sparser stages too, but
    not of the side studies: under the tune a hand may have no finger for what it can hold without. The
    hand of a stage alone has what that hand plays there, after all sharing.
    """
    made: dict[int, Played] = {}
    banned: set[str] = set()
    dropped: set[str] = set()
    last = len(drafts) - 1
    for place in reversed(range(len(drafts))):
        draft = drafts[place]
        if place == last:
            made[place] = Played(in_order(draft.notes), report(keys, draft.notes))
            continue
        beside = draft.rung.side and not draft.rung.else_aside
        gone = dropped if beside else banned | dropped
        done = under_the_hand(keys, tuple(n for n in draft.notes if not _is_left_out(keys, draft, n, gone)))
        made[place] = Played(done.notes, done.hands)
        if not draft.rung.side:
            banned |= done.left_out
            dropped |= changes.dropped(draft.rung)
    for place, draft in enumerate(drafts):
        if draft.of:
            made[place] = _one_hand(keys, draft, _whose(drafts, made, place))
    return [made[place] for place in range(len(drafts))]


def _is_left_out(keys: Keyboard, draft: Draft, note: StageNote, banned: Collection[str]) -> bool:
    """Whether a fuller stage has left out what ``note`` is; for a side study what the teacher has left out. That need
    not be nested: it may strike once, and roll, what the hands have no time for at every turn, and it may need what a
    stage with the tune has twice; its note stays if it stands for any that is struck. One that was moved has no note
    of its pitch in the score, and is nowhere left out."""
    if not banned:
        return False
    own = [source.id in banned for source in keys.own(note)]
    return bool(own) and (all(own) if draft.rung.side else any(own))


def _whose(drafts: Sequence[Draft], made: dict[int, Played], place: int) -> Played:
    """The stage that a draft is one hand of; where the ladder has none of that name, the technique by itself."""
    whole = {draft.rung.called.name: k for k, draft in enumerate(drafts) if not draft.of}
    name = lasting_name(drafts[place].of, [draft.rung.called for draft in drafts if not draft.of])
    found = whole.get(name, place)
    return made[found]


def _one_hand(keys: Keyboard, draft: Draft, whole: Played) -> Played:
    start, end = draft.bars or (0, keys.score.end)
    shared = [replace(note, hand=hand_of(keys, note)) for note in whole.notes]
    notes = [n for n in alone(shared, HANDS_ALONE[draft.rung.technique]) if start <= n.onset < end]
    return Played(tuple(notes), report(keys, notes))


def hand_of(keys: Keyboard, note: StageNote) -> Hand | None:
    """The hand of the staff; a note as written that crosses to the other staff keeps the hand of its voice."""
    source = keys.by_id[note.sources[0]]
    as_written = note.voice == source.voice and note.staff == source.staff and not note.moved
    return keys.score.hand_of(source.home_staff if as_written else note.staff)
