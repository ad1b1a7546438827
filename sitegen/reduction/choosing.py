"""From all the rungs that were tried to the stages of the ladder: each adds one idea, and there are four to seven.

Stages that come out the same become one. An optional one that adds next to nothing goes, and so do, while there are
too many, those that add least.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitegen.reduction.nouns import StageNote
from sitegen.reduction.rungs import Rung

MOST = 7
FEWEST = 4
EVEN = 0.85  # the share of one note value from which on a rhythm is no study
LITTLE = {1: 0.03, 2: 0.08}  # what an optional stage must add to the notes of the stage before, by how optional it is


@dataclass(frozen=True, slots=True)
class Draft:
    """The notes that a rung comes to, with the names of all techniques that were used. ``listen`` is the
    teacher's own sentence; ``of`` names the stage of which this is one hand, ``bars`` the ticks that it is cut to."""

    rung: Rung
    techniques: tuple[str, ...]
    notes: tuple[StageNote, ...]
    listen: str = ""
    of: str = ""
    bars: tuple[int, int] | None = None


def choose(drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts that become stages, in order. The last one, the score as written, always stays."""
    ladder = [draft for draft in drafts if not draft.rung.side]
    stay = _thinned(_distinct([draft for draft in ladder if draft.notes or draft is ladder[-1]]))
    taken = [_music(draft) for draft in stay]
    chosen: list[Draft] = []
    for draft in drafts:
        if draft.rung.side:
            music = _music(draft)
            if music and music not in taken and _is_worth_it(draft):
                chosen.append(draft)
                taken.append(music)
        elif any(draft is other for other in stay):
            chosen.append(draft)
    return chosen


def _is_worth_it(draft: Draft) -> bool:
    """Whether a side study has something of its own to show: a rhythm more than one value, a line more than one pitch
    in turn."""
    notes = draft.notes
    if draft.rung.technique == "rhythm on one pitch":
        values = Counter(note.duration for note in notes)
        return max(values.values()) < EVEN * len(notes)
    if draft.rung.technique == "inner line alone":
        return sum(one.midi != other.midi for one, other in pairwise(notes)) > len(notes) / 3
    return True


def _distinct(ladder: Sequence[Draft]) -> list[Draft]:
    """Of drafts that come out the same one stays: the score, else the least optional, of these the first."""
    found: list[Draft] = []
    for place, draft in enumerate(ladder):
        if found and _music(found[-1]) == _music(draft):
            if place == len(ladder) - 1 or draft.rung.optional < found[-1].rung.optional:
                found[-1] = draft
        else:
            found.append(draft)
    return found


def _thinned(ladder: list[Draft]) -> list[Draft]:
    ladder = list(ladder)
    while len(ladder) > FEWEST:
        gains = [
            (-one.rung.optional, len(one.notes) / max(1, len(before.notes)) - 1, place)
            for place, (before, one) in enumerate(pairwise(ladder), 1)
            if one.rung.optional
        ]
        poor = [gain for gain in gains if gain[1] < LITTLE[-gain[0]]]
        if not poor and (len(ladder) <= MOST or not gains):
            break
        del ladder[min(poor or gains)[2]]
    return ladder


def _music(draft: Draft) -> list[tuple[int, int, int, int]]:
    return [(note.onset, note.duration, note.midi, note.staff) for note in draft.notes]
