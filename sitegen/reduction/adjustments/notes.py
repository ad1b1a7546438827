"""Keeping, dropping, holding and moving single notes of a stage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sitegen.errors import ContentError, located
from sitegen.places.finding import find_note, find_spot
from sitegen.places.parsing import parse_place
from sitegen.reduction.ladder import lasting_name
from sitegen.reduction.notes import as_is, in_order
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.techniques import Rung
from sitegen.reduction.wishes import NoteWish, Wishes
from sitegen.score import Note, Pitch, Score


@dataclass(frozen=True, slots=True)
class Resolved:
    """A wish with its note; for a hold the tick until which, and a note that sounds until then. ``stage`` is the
    lasting name of the stage that it names, or what it calls it until that is known."""

    wish: NoteWish
    note: Note
    until: int = 0
    cover: str = ""
    staff: int = 0
    stage: str = ""


@dataclass(frozen=True, slots=True)
class NoteChanges:
    """All note wishes of a piece, found in its score."""

    resolved: tuple[Resolved, ...]
    score: Score

    def among(self, rungs: Iterable[Rung]) -> NoteChanges:
        """These changes, each with the lasting name of its stage; one that names none of ``rungs`` changes nothing."""
        known = [rung.called for rung in rungs]
        found = (replace(one, stage=lasting_name(one.stage, known)) if one.stage else one for one in self.resolved)
        return replace(self, resolved=tuple(found))

    def apply(self, rung: Rung, notes: Sequence[StageNote]) -> Sequence[StageNote]:
        """The notes of the stage of this rung with its changes. The score as written is not changed."""
        if rung.technique == "as written":
            return notes
        for one in self._of(rung):
            notes = _DEEDS[one.wish.do](one, notes)
        return notes

    def dropped(self, rung: Rung) -> set[str]:
        """The ids of the notes dropped from this stage: sparser ones do not have them either."""
        return {one.note.id for one in self._of(rung) if one.wish.do == "drop"}

    def name(self, rung: Rung) -> bool:
        """Whether a wish names the stage of this rung, which then is not to be thinned out."""
        return any(one.stage == rung.called.name for one in self.resolved)

    def _of(self, rung: Rung) -> list[Resolved]:
        return [one for one in self.resolved if one.stage in ("", rung.called.name)]


def resolve_notes(score: Score, wishes: Wishes) -> NoteChanges:
    """Find the note of every wish. Raises ``ContentError`` where an address matches nothing, or several notes."""
    return NoteChanges(tuple(resolve(score, wish, wishes.file) for wish in wishes.notes), score)


def resolve(score: Score, wish: NoteWish, file: str) -> Resolved:
    """Find the note of one wish. Raises as ``resolve_notes``."""
    with located(file, wish.line):
        note = find_note(score, parse_place(wish.at))
        staff = note.staff
        if wish.hand is not None:
            staves = [s.number for s in score.staves if s.hand == wish.hand]
            if not staves:
                raise ContentError(f"the score has no {wish.hand} hand", "leave the note where it is")
            staff = max(staves) if wish.hand == "right" else min(staves)
        until, cover = note.end, ""
        if wish.until:
            until = find_spot(score, parse_place(wish.until)).onset
            sounding = [n for n in score.sounding() if n.onset < until <= n.end]
            if until <= note.onset or not sounding:
                remedy = "hold it to a place where something still sounds"
                raise ContentError(f"the note cannot be held until '{wish.until}'", remedy)
            cover = min(sounding, key=lambda n: (n.staff != note.staff, abs(n.midi - note.midi), n.id)).id
    return Resolved(wish, note, until, cover, staff, wish.stage)


def _is_it(one: Resolved, note: StageNote) -> bool:
    """Whether a note of a stage is the one meant: at its pitch, or put in another octave; not its doubling in another
    octave, which may stand for some of its time."""
    if one.note.id not in note.sources:
        return False
    is_head = note.sources[0] == one.note.id
    return note.midi == one.note.midi or (is_head and note.midi % 12 == one.note.pitch.pitch_class)


def _keep(one: Resolved, notes: Sequence[StageNote]) -> Sequence[StageNote]:
    """Put the note in; a note of the stage that had its time makes room for it."""
    if any(note.sources[0] == one.note.id for note in notes):
        return notes
    kept = as_is(one.note)
    result = []
    for note in notes:
        if one.note.id in note.sources and note.onset < one.note.onset < note.end and note.midi != one.note.midi:
            kept = replace(kept.standing_for(note.sources), duration=max(kept.duration, note.end - kept.onset))
            note = replace(note, duration=one.note.onset - note.onset)
        result.append(note)
    return in_order([*result, kept])


def _drop(one: Resolved, notes: Sequence[StageNote]) -> Sequence[StageNote]:
    """Take the note out; the note before it in its staff that ends where it begins is held on in its place."""
    gone = [note for note in notes if _is_it(one, note)]
    rest = [note for note in notes if not _is_it(one, note)]
    for note in gone:
        before = [k for k, n in enumerate(rest) if n.staff == note.staff and n.end == note.onset and not n.grace]
        if before and not any(n.staff == note.staff and n.onset == note.onset for n in rest):
            heir = min(before, key=lambda k: abs(rest[k].midi - note.midi))
            rest[heir] = replace(rest[heir].standing_for(note.sources), duration=note.end - rest[heir].onset)
    return rest


def _hold(one: Resolved, notes: Sequence[StageNote]) -> Sequence[StageNote]:
    return [
        replace(n.standing_for([one.cover]), duration=one.until - n.onset)
        if _is_it(one, n) and n.onset < one.until
        else n
        for n in notes
    ]


def _move(one: Resolved, notes: Sequence[StageNote]) -> Sequence[StageNote]:
    """Put the note elsewhere; one that stands there already becomes one with it, since a key is struck once."""
    moved = [_moved(one, note) for note in notes if _is_it(one, note)]
    rest = [note for note in notes if not _is_it(one, note)]
    for place, note in enumerate(moved):
        if note.grace:
            continue
        same = [n for n in rest if (n.onset, n.midi, n.grace) == (note.onset, note.midi, False)]
        rest = [n for n in rest if n not in same]
        for other in same:
            note = replace(note.standing_for(other.sources), duration=max(note.duration, other.duration))
        moved[place] = note
    return in_order([*rest, *moved])


def _moved(one: Resolved, note: StageNote) -> StageNote:
    """The note where the wish wants it. One that a sparser stage has moved is counted from where the score has it."""
    octave = (one.note if note.moved else note).pitch.octave + one.wish.octaves
    pitch = Pitch(note.pitch.step, note.pitch.alter, octave)
    return replace(note, pitch=pitch, staff=one.staff if one.wish.hand else note.staff, moved=True)


_DEEDS = {"keep": _keep, "drop": _drop, "hold": _hold, "move": _move}
