"""From all the rungs that were tried to the stages of the ladder: each adds one idea, and there are seven at most.

A stage that differs from the one before it, or from the score, in fewer than a third of the bars is no stage of its
own: of two so alike the one that is less optional stays, of these the first. While there are too many stages, those go
that are optional and add least.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from sitegen.reduction.nouns import StageNote
from sitegen.reduction.techniques import Rung

MOST = 7
FEW = 2  # the bars in which what is too little for the ladder must still differ to be a side study
EVEN = 0.85  # the share of one note value from which on a rhythm is no study
SAME = 1 / 3  # the share of the bars in which neighbours on the ladder must differ


@dataclass(frozen=True, slots=True)
class Draft:
    """The notes that a rung comes to, with the names of all techniques that were used. ``listen`` is the
    teacher's own sentence; ``of`` names the stage of which this is one hand, ``bars`` the ticks that it is cut to;
    ``bar_of`` tells the bar of a tick, ``strikes`` what is struck in each bar, as onset and pitch."""

    rung: Rung
    techniques: tuple[str, ...]
    notes: tuple[StageNote, ...]
    listen: str = ""
    of: str = ""
    bars: tuple[int, int] | None = None
    bar_of: Callable[[int], int] = field(default=int, compare=False)
    strikes: dict[int, set[tuple[int, int]]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        found: dict[int, set[tuple[int, int]]] = {}
        for note in self.notes:
            found.setdefault(self.bar_of(note.onset), set()).add((note.onset, note.midi))
        object.__setattr__(self, "strikes", found)


def choose(drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts that become stages, in order. The last one, the score as written, always stays."""
    ladder = [draft for draft in drafts if not draft.rung.side]
    stay = _thinned(_distinct([draft for draft in ladder if draft.notes or draft is ladder[-1]]))
    taken = [_music(draft) for draft in stay]
    chosen: list[Draft] = []
    stage: Draft | None = None
    for draft in drafts:
        if draft.rung.side:
            music = _music(draft)
            if music and music not in taken and _is_worth_it(draft):
                chosen.append(draft)
                taken.append(music)
        elif any(draft is other for other in stay):
            chosen.append(draft)
            stage = draft
        elif draft.rung.else_aside and stage and _changes(stage, draft) >= FEW and _music(draft) not in taken:
            chosen.append(replace(draft, rung=replace(draft.rung, side=True)))
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
    """Of neighbours that are alike in most bars one stays: the score, else the least optional, of these the first. What
    the teacher names stays beside what is like it."""
    found: list[Draft] = []
    for draft in ladder[:-1]:
        while found and _gives_way(found[-1].rung, draft.rung) and not _differs(found[-1], draft):
            found.pop()
        if not found or draft.rung.named or _differs(found[-1], draft):
            found.append(draft)
    while found and not found[-1].rung.named and not _differs(found[-1], ladder[-1]):
        found.pop()
    return [*found, *ladder[-1:]]


def _gives_way(one: Rung, other: Rung) -> bool:
    """Whether of two rungs that come to the same the first is the one that can be spared."""
    if one.named or other.named:
        return not one.named
    return one.optional and not other.optional


def _differs(one: Draft, other: Draft) -> bool:
    """Whether two drafts strike other notes in a third of the bars or more."""
    return _changes(one, other) >= SAME * len(one.strikes.keys() | other.strikes.keys())


def _changes(one: Draft, other: Draft) -> int:
    """In how many bars two drafts strike other notes."""
    return sum(one.strikes.get(bar) != other.strikes.get(bar) for bar in one.strikes.keys() | other.strikes.keys())


def _thinned(ladder: list[Draft]) -> list[Draft]:
    ladder = list(ladder)
    while len(ladder) > MOST:
        gains = [
            (len(one.notes) / max(1, len(before.notes)) - 1, place)
            for place, (before, one) in enumerate(pairwise(ladder), 1)
            if one.rung.optional and not one.rung.named
        ]
        if not gains:
            break
        del ladder[min(gains)[1]]
    return ladder


def _music(draft: Draft) -> list[tuple[int, int, int, int]]:
    return [(note.onset, note.duration, note.midi, note.staff) for note in draft.notes]
