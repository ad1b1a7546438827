"""Remarks on the notes of the melody that lean on the next."""

from __future__ import annotations

from itertools import pairwise

from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.reduction.remarks.shown import Shown
from sitegen.reduction.remarks.wording import MOST_BARS, bar_of, listed, name, say
from sitegen.reduction.tune import simple_tune

STEP = 1  # of the staff


def leaning(shown: Shown) -> list[Sentence]:
    """The bars whose first note leans, the first of them; else the bars with a leaning note; then each by itself."""
    pairs = leaning_pairs(shown)
    score = shown.material.score
    first = [pair for pair in pairs if score.place_in_metre(pair[0].onset) == 0]
    found = []
    for message, of in (("first notes lean", first), ("notes lean", pairs)):
        bars = list(dict.fromkeys(bar_of(shown.material, note.onset) for note, _ in of))
        if len(bars) > 1:
            found.append(say(message, bars=listed(bars[:MOST_BARS])))
    for note, goal in first + [pair for pair in pairs if pair not in first]:
        fields = {"note": name(note.pitch), "goal": name(goal.pitch), "bar": bar_of(shown.material, note.onset)}
        found.append(say("waits" if _held(shown, note) else "leans", **fields))
    return found


def leaning_pairs(shown: Shown) -> list[tuple[StageNote, StageNote]]:
    """The notes of the melody that lean on what the simple tune has in their place, with these goals."""
    ids = {note.id for slot in simple_tune(shown.material) for note in slot.leaning}
    found = []
    for note, goal in pairwise(shown.melody):
        source = shown.material.by_id[note.sources[0]]
        leans = source.id in ids and note.onset == source.onset
        if leans and note.end == goal.onset and abs(goal.pitch.diatonic - note.pitch.diatonic) == STEP:
            found.append((note, goal))
    return found


def _held(shown: Shown, note: StageNote) -> bool:
    """Whether the stage strikes the same note just before."""
    place = shown.melody.index(note)
    before = shown.melody[place - 1] if place else None
    return before is not None and before.midi == note.midi and before.end == note.onset
