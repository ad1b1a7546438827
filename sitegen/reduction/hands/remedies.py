"""What is done about a stretch wider than the hand and wider than what the score itself asks of it there.

A note held from before is released where the hand must leave it. Of notes struck together some go to the other hand;
else the chord is rolled; else it loses its outermost notes, in this order, where the music allows:

- a note goes to the other hand if all that this hand plays meanwhile lies within its span; of what is wider than a
  tenth also if that hand strikes nothing for a beat: then it has the note until it goes on;
- a chord is rolled if it lasts for a second at the tempo of the piece, so that no hand rolls chord after chord, and is
  no wider than twice the span; if it is wider than a tenth and the score itself strikes it after its bass, that is done
  instead, for there it is a bass and its chord;
- it loses notes that double another of those that sound, if that brings it under the hand;
- else what the score itself strikes after the bass is struck where the score strikes it; else it is rolled if it lasts
  for half a second; else a broken chord beyond a tenth is struck as one after its bass; or it loses what lies
  outermost: a tone that nothing else sounds goes to the other hand, where that strikes a chord of few notes and rests
  on it as long;
- the bass and the melody are never left out: a chord of nothing else is rolled however short.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from sitegen.reduction.figures import ROLLED
from sitegen.reduction.hands.reach import HANDS, OTHER, Keyboard, report, staves_of
from sitegen.reduction.notes import in_order
from sitegen.reduction.nouns import HandReport, StageNote, WideStretch
from sitegen.score import Hand
from sitegen.score.metre import beat_ticks

FULL = 4  # notes of a chord that leave no finger for another


@dataclass(frozen=True, slots=True)
class Playable:
    """The notes of a stage as hands can play them, what was done, and the ids of the notes that it keeps no more."""

    notes: tuple[StageNote, ...]
    hands: tuple[HandReport, ...]
    left_out: frozenset[str]


@dataclass(slots=True)
class _Plan:
    """A stage being worked through: its notes by number, and the numbers of each hand's notes in order of onset."""

    keys: Keyboard
    notes: list[StageNote]
    numbers: dict[Hand, list[int]] = field(default_factory=dict)
    onsets: dict[Hand, list[int]] = field(default_factory=dict)
    held: dict[Hand, list[int]] = field(default_factory=dict)
    gone: set[int] = field(default_factory=set)
    done: dict[Hand, list[WideStretch]] = field(default_factory=dict)

    def width(self, numbers: Sequence[int]) -> int:
        if len(numbers) < 2:
            return 0
        midis = [self.notes[number].midi for number in numbers]
        return max(midis) - min(midis)

    def too_wide(self, numbers: Sequence[int], reach: int = 0) -> bool:
        """Whether notes lie further apart than ``reach`` (or the hand's span), and the score does not ask for it."""
        if self.width(numbers) <= max(reach, self.keys.span):
            return False
        low, *_, high = sorted((self.notes[number] for number in numbers), key=lambda n: (n.midi, n.onset))
        return not self.keys.asks(low, high)


def under_the_hand(keys: Keyboard, notes: Sequence[StageNote]) -> Playable:
    """Make a stage playable. ``notes`` are in order; time is linear in their number but for what overlaps."""
    plan = _Plan(keys, list(notes))
    struck_at: dict[int, dict[Hand, list[int]]] = {}
    for hand in HANDS:
        staves = staves_of(keys.score, hand)
        mine = [k for k, n in enumerate(notes) if not n.grace and n.staff in staves]
        plan.numbers[hand], plan.onsets[hand] = mine, [notes[k].onset for k in mine]
        plan.held[hand], plan.done[hand] = [], []
        for number in mine:
            struck_at.setdefault(notes[number].onset, {"left": [], "right": []})[hand].append(number)
    for onset in sorted(struck_at):
        for hand in HANDS:
            plan.held[hand] = [k for k in plan.held[hand] if plan.notes[k].end > onset]
        for hand in HANDS:
            _strike(plan, hand, onset, struck_at[onset])
    kept = [note for number, note in enumerate(plan.notes) if number not in plan.gone]
    lost = {source for number in plan.gone for source in _own_ids(keys, plan.notes[number])}
    if lost:
        lost -= {source for note in kept for source in _own_ids(keys, note)}
    ordered = in_order(kept)
    return Playable(ordered, report(keys, ordered, plan.done), frozenset(lost))


def _strike(plan: _Plan, hand: Hand, onset: int, struck_at: dict[Hand, list[int]]) -> None:
    struck = struck_at[hand]
    if not struck:
        return
    keys = plan.keys
    if plan.too_wide(struck):
        width = plan.width(struck)
        remedy = (
            _share(plan, hand, struck, struck_at)
            or (width > keys.span + ROLLED and _lend(plan, hand, struck, struck_at))
            or _roll(plan, hand, struck, 2 * keys.roll_ticks)
            or _leave_out_doubled(plan, hand, struck, struck_at)
            or _after_the_bass(plan, hand, struck)
            or _roll(plan, hand, struck, keys.roll_ticks)
            or _after_the_bass(plan, hand, struck, broken=True)
            or _leave_out(plan, hand, struck, struck_at)
        )
        plan.done[hand].append(WideStretch(onset, width, remedy))
    held = plan.held[hand]
    reach = max(keys.span, plan.width(struck)) if held else keys.span
    while held and plan.too_wide([*held, *struck], reach):
        low, high = min(plan.notes[k].midi for k in struck), max(plan.notes[k].midi for k in struck)
        furthest = max(held, key=lambda k: (max(low - plan.notes[k].midi, plan.notes[k].midi - high), k))
        held.remove(furthest)
        plan.notes[furthest] = replace(plan.notes[furthest], duration=onset - plan.notes[furthest].onset)
    held.extend(struck)


def _share(plan: _Plan, hand: Hand, struck: list[int], struck_at: dict[Hand, list[int]]) -> str:
    """Give as few notes as will do to the other hand, those nearest to it; ``""`` if it cannot take them."""
    ordered = sorted(struck, key=lambda k: plan.notes[k].midi, reverse=hand == "right")
    count = next(n for n in range(1, len(ordered)) if not plan.too_wide(ordered[: len(ordered) - n]))
    return "shared" if _give(plan, hand, ordered[len(ordered) - count :], struck, struck_at) else ""


def _lend(plan: _Plan, hand: Hand, struck: list[int], struck_at: dict[Hand, list[int]]) -> str:
    """As ``_share``, of all beyond the hand's own span; but the other hand, which strikes nothing of its own with them,
    has them only until it goes on, a beat later at least."""
    other, onset = OTHER[hand], plan.notes[struck[0]].onset
    place = bisect_left(plan.onsets[other], onset)
    until = plan.onsets[other][place] if place < len(plan.onsets[other]) else onset
    outer = (min if hand == "left" else max)(plan.notes[k].midi for k in struck)
    moving = [k for k in struck if abs(plan.notes[k].midi - outer) > plan.keys.span]
    whole = [plan.notes[k] for k in moving]
    if until - onset < beat_ticks(plan.keys.score, onset) or until >= max(note.end for note in whole):
        return ""
    for number, note in zip(moving, whole, strict=True):
        plan.notes[number] = replace(note, duration=min(note.end, until) - onset)
    if _give(plan, hand, moving, struck, struck_at):
        return "shared"
    for number, note in zip(moving, whole, strict=True):
        plan.notes[number] = note
    return ""


def _give(plan: _Plan, hand: Hand, moving: Sequence[int], struck: list[int], struck_at: dict[Hand, list[int]]) -> bool:
    """Give notes of a chord to the other hand, if all that it plays meanwhile lies within its span; else nothing."""
    other = OTHER[hand]
    staff = plan.keys.staff_of(other)
    if staff is None:
        return False
    end = max(plan.notes[k].end for k in moving)
    meanwhile = [k for k in plan.held[other] if k not in plan.gone]
    place = bisect_left(plan.onsets[other], plan.notes[moving[0]].onset)
    while place < len(plan.onsets[other]) and plan.onsets[other][place] < end:
        meanwhile.append(plan.numbers[other][place])
        place += 1
    pitches = {plan.notes[k].midi for k in meanwhile}
    if plan.width([*meanwhile, *moving]) > plan.keys.span or any(plan.notes[k].midi in pitches for k in moving):
        return False
    for number in moving:
        plan.notes[number] = replace(plan.notes[number], staff=staff, moved=True)
        struck.remove(number)
        if hand == "left":
            # the right hand has had its turn at this onset
            plan.held[other].append(number)
        else:
            struck_at[other].append(number)
    return True


def _roll(plan: _Plan, hand: Hand, struck: list[int], least: int) -> str:
    """Roll a chord of which every note lasts for ``least`` ticks; one wider than a tenth only where the score does not
    strike the chord after the bass anyway."""
    shortest, width = min(plan.notes[k].duration for k in struck), plan.width(struck)
    if shortest < least:
        return ""
    if width > plan.keys.span + ROLLED and _after_the_bass(plan, hand, struck):
        return "bass first"
    if width > 2 * plan.keys.span:
        return ""
    for number in struck:
        plan.notes[number] = replace(plan.notes[number], rolled=True)
    return "rolled"


def _after_the_bass(plan: _Plan, hand: Hand, struck: list[int], broken: bool = False) -> str:
    """Strike a chord where the score strikes it, after a bass out of its reach; ``""`` if it is not struck together, or
    over a lower note that the stage leaves out, or if its hand plays something else by then. A ``broken`` one is struck
    where the score comes to its first note, if it lies beyond a tenth and the hand has half the time of a rolled chord
    to come to it."""
    onset = plan.notes[struck[0]].onset
    printed = {k: min((own.onset for own in plan.keys.own(plan.notes[k])), default=onset) for k in struck}
    late = sorted(k for k in struck if printed[k] > onset)
    early = [k for k in struck if k not in late]
    starts, ends = {printed[k] for k in late}, {plan.notes[k].end for k in late}
    if hand == "right" or not late or (len(starts) > 1 and not broken) or len(early) != 1 or plan.too_wide(late):
        return ""
    start = min(starts)
    is_near = plan.width(struck) <= plan.keys.span + ROLLED or 2 * (start - onset) < plan.keys.roll_ticks
    if len(starts) > 1 and is_near:
        return ""
    following = bisect_left(plan.onsets[hand], onset + 1)
    busy = following < len(plan.onsets[hand]) and plan.onsets[hand][following] < max(ends)
    lowest = min(plan.notes[k].midi for k in late)
    if busy or start >= min(ends) or plan.notes[early[0]].midi > lowest or plan.keys.strikes_below(hand, start, lowest):
        return ""
    for k in late:
        plan.notes[k] = replace(plan.notes[k], onset=start, duration=plan.notes[k].end - start)
    bass = plan.notes[early[0]]
    plan.notes[early[0]] = replace(bass, duration=min(bass.end, start) - onset)
    struck[:] = late
    return "bass first"


def _leave_out(plan: _Plan, hand: Hand, struck: list[int], struck_at: dict[Hand, list[int]]) -> str:
    """Take away the outermost note that is not essential until the rest fits; its time goes to its neighbour. A tone
    that nothing else sounds is given to the other hand instead, if that takes it into a chord on which it rests."""
    remedy = "shared"
    while plan.too_wide(struck):
        ordered = sorted(struck, key=lambda k: plan.notes[k].midi, reverse=hand == "left")
        ends = [
            k for k in (ordered[0], ordered[-1]) if plan.keys.essential.isdisjoint(_own_ids(plan.keys, plan.notes[k]))
        ]
        if not ends:
            for number in struck:
                plan.notes[number] = replace(plan.notes[number], rolled=True)
            return "rolled"
        going = ends[0]
        wanted = not _is_doubled(plan, going, struck, _elsewhere(plan, hand, struck_at))
        if not (wanted and _waits(plan, hand, going) and _give(plan, hand, [going], struck, struck_at)):
            _take_away(plan, struck, going)
            remedy = "left out"
    return remedy


def _waits(plan: _Plan, hand: Hand, number: int) -> bool:
    """Whether the other hand strikes a chord with a note of ``hand`` that has room for it, and nothing else before
    that ends."""
    other, note = OTHER[hand], plan.notes[number]
    place = bisect_left(plan.onsets[other], note.onset)
    onsets = plan.onsets[other][place : bisect_left(plan.onsets[other], note.end)]
    return 0 < len(onsets) < FULL and set(onsets) == {note.onset}


def _leave_out_doubled(plan: _Plan, hand: Hand, struck: list[int], struck_at: dict[Hand, list[int]]) -> str:
    """Take away the outermost notes that double another, if the rest fits; ``""`` if it does not."""
    elsewhere = _elsewhere(plan, hand, struck_at)
    rest, going = list(struck), []
    while plan.too_wide(rest):
        ordered = sorted(rest, key=lambda k: plan.notes[k].midi, reverse=hand == "left")
        doubled = [k for k in (ordered[0], ordered[-1]) if _is_doubled(plan, k, rest, elsewhere)]
        if not doubled:
            return ""
        rest.remove(doubled[0])
        going.append(doubled[0])
    for number in going:
        _take_away(plan, struck, number)
    return "left out"


def _elsewhere(plan: _Plan, hand: Hand, struck_at: dict[Hand, list[int]]) -> set[int]:
    """The pitch classes that the other hand sounds while ``hand`` strikes."""
    other = OTHER[hand]
    return {plan.notes[k].midi % 12 for k in (*plan.held[other], *struck_at[other]) if k not in plan.gone}


def _is_doubled(plan: _Plan, number: int, chord: Sequence[int], elsewhere: Collection[int]) -> bool:
    note = plan.notes[number]
    if not plan.keys.essential.isdisjoint(_own_ids(plan.keys, note)):
        return False
    return note.midi % 12 in elsewhere or any(plan.notes[k].midi % 12 == note.midi % 12 for k in chord if k != number)


def _take_away(plan: _Plan, struck: list[int], number: int) -> None:
    """Leave out one note of a chord; its time goes to a neighbour."""
    struck.remove(number)
    plan.gone.add(number)
    heir = struck[0]
    plan.notes[heir] = plan.notes[heir].standing_for(plan.notes[number].sources)


def _own_ids(keys: Keyboard, note: StageNote) -> list[str]:
    return [source.id for source in keys.own(note)]
