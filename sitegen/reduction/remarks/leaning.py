"""Remarks on the notes of the melody that lean on the next."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise

from sitegen.reduction.melody import simple_tune
from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.reduction.remarks.shown import Shown
from sitegen.reduction.remarks.wording import MOST_BARS, bar_of, listed, name, say

STEP = 1  # of the staff


@dataclass(frozen=True, slots=True)
class Leaning:
    """A note of the melody that leans on ``goal`` from ``onset`` on: the tick at which it is struck or, if it is held
    over from the chord before, the beat of the chord that it waits over."""

    note: StageNote
    goal: StageNote
    onset: int


def leaning(shown: Shown) -> list[Sentence]:
    """The bars whose first note leans, the first of them; else the bars with a leaning note; then each by itself, and
    those that are held over."""
    found = leaning_notes(shown)
    struck = [lean for lean in found if lean.onset == lean.note.onset]
    first = [lean for lean in struck if shown.material.score.place_in_metre(lean.onset) == 0]
    said = []
    for message, of in (("first notes lean", first), ("notes lean", struck)):
        bars = list(dict.fromkeys(bar_of(shown.material, lean.onset) for lean in of))
        if len(bars) > 1:
            said.append(say(message, bars=listed(bars[:MOST_BARS])))
    for lean in first + [lean for lean in found if lean not in first]:
        bar = bar_of(shown.material, lean.onset)
        fields = {"note": name(lean.note.pitch), "goal": name(lean.goal.pitch), "bar": bar}
        said.append(say("waits" if _waits(shown, lean) else "leans", **fields))
    return said


def leaning_notes(shown: Shown) -> list[Leaning]:
    """The notes of the melody that lean on what the simple tune has in their place, where it comes next."""
    slots = {note.id: slot for slot in simple_tune(shown.material) for note in slot.leaning}
    found = []
    for note, goal in pairwise(shown.melody):
        source = shown.material.by_id[note.sources[0]]
        slot = slots.get(source.id)
        if slot is None or note.onset != source.onset or goal.sources[0] != slot.head.id:
            continue
        onset = max(slot.onset, note.onset)
        if onset < note.end == goal.onset and abs(goal.pitch.diatonic - note.pitch.diatonic) == STEP:
            found.append(Leaning(note, goal, onset))
    return found


def _waits(shown: Shown, lean: Leaning) -> bool:
    """Whether a note is held over, or the stage strikes the same note just before."""
    if lean.onset > lean.note.onset:
        return True
    place = bisect_left(shown.melody, lean.note.onset, key=lambda note: note.onset)
    before = shown.melody[place - 1] if place else None
    return before is not None and before.midi == lean.note.midi and before.end == lean.note.onset
