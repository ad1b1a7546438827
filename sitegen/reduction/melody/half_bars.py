"""The tune in the rhythm of the harmony: one note for each harmony and half bar, and where these begin."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.material import Material
from sitegen.reduction.melody.tune import Slot
from sitegen.reduction.notes import whole_end
from sitegen.score import Bar, Note
from sitegen.score.metre import bar_ticks, beat_start, beat_ticks


def by_half_bar(material: Material, slots: Sequence[Slot]) -> list[Slot]:
    """One note for each harmony, and for each half of a bar that has four beats or two long ones."""
    units = [tick for bar in material.score.bars for tick in units_of(material, bar)]
    found: list[Slot] = []
    place = 0
    for unit, end in zip(units, [*units[1:], material.score.end], strict=True):
        while place < len(slots) and slots[place].end <= unit:
            place += 1
        inside = []
        for slot in slots[place:]:
            if slot.onset >= end:
                break
            inside.append(slot)
        members = tuple(dict.fromkeys(note for slot in inside for note in slot.members))
        chosen = next(iter(inside), None)
        if chosen is not None and found and chosen.onset > unit and _leads_on(material, chosen, end, found[-1]):
            chosen = None
        if chosen is None or (found and _is_same(material, found[-1], chosen, unit)):
            if found and inside:
                before = found[-1]
                found[-1] = replace(before, end=_last(members, before.end), members=(*before.members, *members))
            continue
        onset = max(unit, chosen.onset)
        if found:
            found[-1] = replace(found[-1], end=min(found[-1].end, onset))
        found.append(Slot(onset, _last(members, onset + 1), chosen.head, members))
    line = material.line("melody")
    return [
        _held_on(material, slot, line, found[place + 1].onset if place + 1 < len(found) else material.score.end)
        for place, slot in enumerate(found)
    ]


def units_of(material: Material, bar: Bar) -> list[int]:
    """The ticks of a bar at which the outer voices may move: its halves, where they last a dotted quarter or longer,
    and the beats on which the harmony changes."""
    score = material.score
    beat, full = beat_ticks(score, bar.onset), bar_ticks(score, bar.onset)
    ticks = {bar.onset}
    if full % 2 == 0 and full // 2 % beat == 0 and score.quarters(full // 2) * 2 >= 3:
        ticks.add(bar.onset - bar.lead + full // 2)
    ticks.update(h.onset for h in material.harmonies_in(bar.onset, bar.end) if beat_start(score, h.onset) == h.onset)
    return sorted(tick for tick in ticks if bar.onset <= tick < bar.end)


def _is_same(material: Material, before: Slot, chosen: Slot, unit: int) -> bool:
    """Whether a slot is held on, or strikes the pitch before it again in the same bar."""
    if chosen.head.id == before.head.id and chosen.onset < unit:
        return True
    bars = material.score.bar_at(before.onset).index, material.score.bar_at(max(unit, chosen.onset)).index
    return chosen.head.midi == before.head.midi and bars[0] == bars[1]


def _leads_on(material: Material, slot: Slot, end: int, before: Slot) -> bool:
    """Whether a slot that begins in the last beat before ``end``, after silence, only leads on to what follows."""
    bar = material.score.bar_at(slot.onset)
    same_bar = material.score.bar_at(before.onset).index == bar.index
    return same_bar and end >= bar.end and slot.onset >= bar.end - beat_ticks(material.score, slot.onset)


def _held_on(material: Material, slot: Slot, line: Sequence[Note], following: int) -> Slot:
    """A slot held through what is left out until the next, in its bar or as long as its notes sound."""
    end = min(following, max(material.score.bar_at(slot.onset).end, _last(slot.members, slot.onset)))
    low, high = (bisect_left(line, tick, key=lambda n: n.onset) for tick in (slot.onset, end))
    members = tuple(dict.fromkeys((*slot.members, *line[low:high])))
    end = whole_end(material, slot.onset, min(end, _last(members, end)))
    return replace(slot, end=max(end, slot.onset + 1), members=members)


def _last(members: Sequence[Note], least: int) -> int:
    return max((note.end for note in members), default=least)
