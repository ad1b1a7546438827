"""Stages as the teacher wants them: other words, other bars, left out, or written by the teacher's own hand."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.errors import ContentError, FaultsError, located
from sitegen.places.finding import find_spot
from sitegen.places.parsing import parse_bars
from sitegen.places.printing import bar_name
from sitegen.places.stages import find_stage, place_of
from sitegen.places.words import nearest
from sitegen.reduction.ladder import Draft
from sitegen.reduction.material import Material
from sitegen.reduction.notes import in_order
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.techniques import Rung, find_technique, techniques
from sitegen.reduction.wishes import StageWish, Wishes
from sitegen.score import Note, Score


def stretch_of(score: Score, bars: str, file: str, line: int) -> tuple[int, int]:
    """First tick and end of the bars that a stage is to hold. Raises ``ContentError`` for bars there are not."""
    with located(file, line):
        spot = find_spot(score, parse_bars(bars))
    return spot.onset, spot.end


def apply_changes(score: Score, drafts: Sequence[Draft], wishes: Wishes) -> list[Draft]:
    """The drafts renamed, cut to their bars or left out. Raises ``ContentError`` for a stage that is not there."""
    _check_names(drafts, wishes)
    found = list(drafts)
    for change in wishes.changes:
        place = _find(found, change.stage, wishes.file, change.line)
        draft = found[place]
        if draft.rung.technique == "as written" and (change.leave_out or change.bars):
            raise ContentError("the score as written stays whole", "change another stage", wishes.file, change.line)
        if change.leave_out:
            del found[place]
            continue
        notes = draft.notes
        if change.bars:
            onset, end = stretch_of(score, change.bars, wishes.file, change.line)
            notes = tuple(note for note in notes if onset <= note.onset < end)
        rung = draft.rung
        if change.title:
            rung = replace(rung, title=change.title, also=tuple(dict.fromkeys((*rung.also, rung.name))))
        found[place] = replace(draft, rung=rung, notes=notes, listen=change.listen or draft.listen)
    return found


def with_new_titles(rungs: Sequence[Rung], wishes: Wishes) -> list[Rung]:
    """The rungs, understood by the titles too that the teacher gives them."""
    found = list(rungs)
    for change in wishes.changes:
        place = place_of(change.stage, [rung.called for rung in found])
        if change.title and place is not None:
            found[place] = replace(found[place], also=(*found[place].also, change.title))
    return found


def _check_names(drafts: Sequence[Draft], wishes: Wishes) -> None:
    """Raises an error for every wish that names a stage that is not there, all of them together."""
    faults: list[ContentError] = []
    named = [(wish.stage, wish.line) for wish in wishes.notes if wish.stage]
    named += [(change.stage, change.line) for change in wishes.changes]
    for name, line in named:
        try:
            _find(drafts, name, wishes.file, line)
        except ContentError as fault:
            faults.append(fault)
    known = [draft.rung.called for draft in drafts]
    for wish in wishes.stages:
        if wish.of and not find_technique(wish.of) and place_of(wish.of, known) is None:
            names = dict.fromkeys((*(one.titles[0] for one in known), *techniques()))
            remedy = nearest(wish.of, tuple(names), "the stages and techniques are")
            faults.append(ContentError(f"the ladder has no stage '{wish.of}'", remedy, wishes.file, wish.line))
    faults.sort(key=lambda fault: fault.line or 0)
    if faults:
        raise faults[0] if len(faults) == 1 else FaultsError(faults)


def _find(drafts: Sequence[Draft], name: str, file: str, line: int) -> int:
    """The place of the stage called ``name``. Raises ``ContentError`` where there is none, or several."""
    try:
        with located(file, line):
            return find_stage(name, [draft.rung.called for draft in drafts])
    except ContentError as fault:
        technique = find_technique(name)
        if technique and all(draft.rung.technique != technique for draft in drafts):
            fault.remedy = f"list it under stages: to add it; {fault.remedy}"
        raise


def own_stage(material: Material, wish: StageWish, file: str) -> tuple[StageNote, ...]:
    """The notes of the teacher's own score, each matched to those of the piece that it stands for.

    A note stands for what sounds in its time with its pitch; else with its pitch class, and is then marked as moved.
    The staff is the one that the teacher wrote it on. Raises ``ContentError`` for a note that nothing matches.
    """
    own = wish.own
    assert own is not None
    score = material.score
    by_onset = [note for note in score.notes if not note.grace]
    onsets = [note.onset for note in by_onset]
    longest = max((note.duration for note in by_onset), default=0)
    found = []
    for note in own.notes:
        onset, end = (int(own.quarters(t) * score.ticks_per_quarter) for t in (note.onset, note.end))
        near = by_onset[bisect_left(onsets, onset - longest) : bisect_left(onsets, max(end, onset + 1))]
        near = [n for n in near if n.end > onset]
        sources = _sources(note, onset, end, near)
        if not sources or note.staff > len(score.staves):
            bar = bar_name(own, own.bars[note.bar])
            what = f"{wish.file}, bar {bar}: nothing in the score matches the {note.pitch.name}"
            raise ContentError(what, "a stage holds only pitches that the score has there", file, wish.line)
        head = material.by_id[sources[0]]
        onset, end = _within(onset, end, [material.by_id[s] for s in sources])
        found.append(
            StageNote(
                "",
                onset,
                0 if note.grace else end - onset,
                note.pitch,
                note.staff,
                sources,
                note.grace,
                moved=head.midi != note.midi,
                voice=note.voice,
                ornaments=note.ornaments,
            )
        )
    return in_order(found)


def _sources(note: Note, onset: int, end: int, near: Sequence[Note]) -> tuple[str, ...]:
    same = [n for n in near if n.pitch.pitch_class == note.pitch.pitch_class]
    same = [n for n in same if n.midi == note.midi] or same
    if not same:
        return ()
    ids = dict.fromkeys(n.id for n in same)
    if note.grace:
        return tuple(ids)
    # the span must be covered from where the note begins to where it ends
    if min(n.onset for n in same) > onset:
        ids[min(near, key=lambda n: (n.onset, n.midi)).id] = None
    if max(n.end for n in same) < end:
        ids[max(near, key=lambda n: (n.end, -n.midi)).id] = None
    return tuple(ids)


def _within(onset: int, end: int, sources: Sequence[Note]) -> tuple[int, int]:
    """A note reaching a little over what the score sounds is cut to it: a rest in the score is a rest."""
    return max(onset, min(n.onset for n in sources)), min(end, max(n.end for n in sources))
