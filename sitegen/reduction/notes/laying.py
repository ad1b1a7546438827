"""Which hand has which line, where a stage has only some voices of a piece.

Two lines lie one in each hand, the upper in the right, also where the score has them in one; a line by itself lies in
the hand that has most of it, so that no entry breaks off in one staff and goes on in the other; three together lie as
written. A voice that has the stage to itself stays in its staff where it goes over for a bar or less, and not far off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from sitegen.reduction.material import Material
from sitegen.reduction.notes.striking import as_is
from sitegen.reduction.nouns import StageNote
from sitegen.score import Note, Score
from sitegen.score.metre import half_beat_start

LOWEST, HIGHEST = 53, 67
"""What is still read without effort on the staff of the right hand below it, F3, and on that of the left above it, G4
(60 = C4): up to three ledger lines."""


@dataclass(slots=True)
class _Run:
    """Notes of a line without a rest of more than a beat between them."""

    line: int
    notes: list[Note]
    end: int

    @property
    def onset(self) -> int:
        return self.notes[0].onset


def laid_in_hands(material: Material, lines: Sequence[Iterable[Note]]) -> list[StageNote]:
    """Lines, from high to low, with their graces, each note on the staff of the hand that has it."""
    score = material.score
    number = {note.id: k for k, line in enumerate(lines) for note in line}
    struck = {(n.onset, n.staff, n.voice): n for n in material.sounding if n.id in number}
    staves = [staff.number for staff in score.staves if staff.hand is not None]
    staff_of: dict[str, int] = {}
    notes = [note for note in material.sounding if note.id in number]
    if len(staves) == 2 and len(lines) > 1:
        staff_of = _staves(notes, number, len(lines), staves, score.ticks_per_quarter)
    elif len(lines) == 1:
        staff_of = _without_excursions(score, notes)
    laid = []
    for note in material.printed:
        main = struck.get((note.onset, note.staff, note.voice)) if note.grace else note
        if main is not None and main.id in number:
            put = _on(note, staff_of.get(main.id, note.staff))
            laid.append(put if len(lines) > 2 else replace(put, voice=0))  # one line a staff, whatever its number
    return _released(score, laid)


def _released(score: Score, laid: Sequence[StageNote]) -> list[StageNote]:
    """The notes, where a hand lets go of a key that the other is about to strike: on the beat or the half beat before,
    so that what is left is one plain value and a plain rest."""
    found = list(laid)
    held: dict[int, int] = {}
    for place, note in enumerate(laid):
        if note.grace:
            continue
        before = held.get(note.midi)
        if before is not None and note.onset < found[before].end and found[before].staff != note.staff:
            end = half_beat_start(score, note.onset)
            if end > found[before].onset:
                found[before] = replace(found[before], duration=end - found[before].onset)
        held[note.midi] = place
    return found


def _without_excursions(score: Score, notes: Sequence[Note]) -> dict[str, int]:
    """The staff of each note of a line that goes over to the other one for no more than a bar and comes back, if it can
    be read there."""
    groups = [list(group) for _, group in groupby(notes, key=lambda note: note.staff)]
    found: dict[str, int] = {}
    staff = groups[0][0].staff if groups else 0
    for group, following in pairwise(groups[1:]):
        away = following[0].onset - group[0].onset
        left = score.hand_of(staff) == "left"
        near = all(note.midi <= HIGHEST if left else note.midi >= LOWEST for note in group)
        if near and group[0].staff != staff == following[0].staff and away <= score.bar_at(group[0].onset).length:
            found.update((note.id, staff) for note in group)
        else:
            staff = group[0].staff
    return found


def _on(note: Note, staff: int) -> StageNote:
    return as_is(note) if staff == note.staff else replace(as_is(note), staff=staff, voice=0, moved=True)


def _staves(
    notes: Sequence[Note], number: dict[str, int], count: int, staves: Sequence[int], beat: int
) -> dict[str, int]:
    """The staff of each note that does not lie as written."""
    if count == 2:
        return {note.id: staves[number[note.id]] for note in notes}
    moving: dict[int, set[int]] = {}
    for note in notes:
        for head in note.noteheads:
            moving.setdefault(head.bar, set()).add(number[note.id])
    runs = _runs(notes, number, beat)
    found: dict[str, int] = {}
    for run in runs:
        partners = {
            other.line
            for other in runs
            if other.line != run.line and min(run.end, other.end) - max(run.onset, other.onset) > beat
        }
        for note in run.notes:
            beside = partners if len(partners) < 2 else moving[note.bar] - {run.line}
            staff = _beside(run, beside, staves)
            if staff is not None:
                found[note.id] = staff
    return found


def _beside(run: _Run, partners: Collection[int], staves: Sequence[int]) -> int | None:
    if len(partners) == 1:
        return staves[0] if run.line < min(partners) else staves[1]
    if not partners:
        return Counter(note.staff for note in run.notes).most_common(1)[0][0]
    return None


def _runs(notes: Sequence[Note], number: dict[str, int], beat: int) -> list[_Run]:
    last: dict[int, _Run] = {}
    found: list[_Run] = []
    for note in notes:
        line = number[note.id]
        run = last.get(line)
        if run is None or note.onset - run.end > beat:
            run = last[line] = _Run(line, [], note.end)
            found.append(run)
        run.notes.append(note)
        run.end = max(run.end, note.end)
    return found
