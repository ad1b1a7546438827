"""The tune on its levels: one note for each beat, the leaning notes put back, one note for each harmony and half bar.

What is taken out gives its time forward where it stood on the beat, backward where it did not. A foreign note on a beat
that goes on by step leans (Kostka and Payne, *Tonal Harmony*, "Nonchord Tones": appoggiatura, suspension, accented
passing and neighbour notes): its goal has the whole of its time. Notes between the beats decorate the note before
them. A scale is reduced to its notes on the beats, foreign or not. Upbeats shorter than a beat belong to what they lead
to, and are left out.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sitegen.analysis.functions_lines import move
from sitegen.analysis.functions_table import STEP
from sitegen.analysis.metre import beat_start, beat_ticks, metrical_level
from sitegen.reduction.basses import lowest_at
from sitegen.reduction.blocks import whole_end
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import stand_for
from sitegen.reduction.wishes import TEACHERS_READING
from sitegen.score import Bar, Note

SCALE = 5  # notes in a row, of one length and in one direction by step, that make a scale
PREPARED = frozenset({"suspension", "retardation"})
ACCOMPANIED = 3  # pitch classes of an accompaniment that is a whole chord
DISSONANT = frozenset({1, 2, 5, 6, 10, 11})  # semitones above the bass, octaves left out


@dataclass(frozen=True, slots=True)
class Slot:
    """A note of the tune that is struck at ``onset``, a beat, and held until ``end``. ``members`` are the notes of the
    tune whose time it has, itself among them; ``leaning`` those that lean on it, in order, each struck at its beat."""

    onset: int
    end: int
    head: Note
    members: tuple[Note, ...]
    leaning: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class _Event:
    """What the tune does on the beat at ``onset``: the note at index ``goal`` of its run has the time of that at index
    ``place``, and of those that lean on it."""

    onset: int
    head: Note
    goal: int
    place: int
    leaning: tuple[Note, ...] = ()


def simple_tune(material: Material) -> list[Slot]:
    """The tune with at most one note a beat, without what decorates it."""
    return material.once(_simple)


def _simple(material: Material) -> list[Slot]:
    found: list[Slot] = []
    ends: dict[int, int] = {}
    for run in _runs(material, material.line("melody")):
        first = run[0]
        bar = material.score.bar_at(first.onset)
        goes_on = ends.get(first.staff, 0) > bar.onset
        off_the_beat = bool(bar.lead) and beat_start(material.score, first.onset) < first.onset
        found += _slots(material, run, _upbeats(material, run) if goes_on or off_the_beat else 0)
        ends[first.staff] = max(note.end for note in run)
    return found


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


def sing(slots: Sequence[Slot]) -> list[StageNote]:
    """The notes of slots."""
    return [stand_for(slot.head, slot.members, slot.onset, slot.end) for slot in slots]


def sing_leaning(material: Material, slots: Sequence[Slot]) -> list[StageNote]:
    """The notes of slots with what leans on them put back: each leaning note until its goal, as it is written."""
    notes: list[StageNote] = []
    for slot in slots:
        if not slot.leaning:
            notes.append(stand_for(slot.head, slot.members, slot.onset, slot.end))
            continue
        goal = max(slot.onset, slot.head.onset)
        starts = [max(slot.onset, note.onset) for note in slot.leaning]
        for note, start, end in zip(slot.leaning, starts, [*starts[1:], goal], strict=True):
            before = notes[-1] if notes else None
            if before is not None and before.sources[0] == note.id and before.end == start:
                notes[-1] = replace(before, duration=end - before.onset)
            elif start < end:
                notes.append(stand_for(note, (note,), start, min(end, note.end)))
        if goal < slot.end:
            notes.append(stand_for(slot.head, [n for n in slot.members if n not in slot.leaning], goal, slot.end))
    return notes


def units_of(material: Material, bar: Bar) -> list[int]:
    """The ticks of a bar at which the outer voices may move: its halves, where they last a dotted quarter or longer,
    and the beats on which the harmony changes."""
    score = material.score
    beat, full = score.ticks(bar.metre.beat_quarters), score.ticks(bar.metre.quarters)
    ticks = {bar.onset}
    if full % 2 == 0 and full // 2 % beat == 0 and score.quarters(full // 2) * 2 >= 3:
        ticks.add(bar.onset - bar.lead + full // 2)
    ticks.update(h.onset for h in material.harmonies_in(bar.onset, bar.end) if beat_start(score, h.onset) == h.onset)
    return sorted(tick for tick in ticks if bar.onset <= tick < bar.end)


def _runs(material: Material, line: Sequence[Note]) -> list[list[Note]]:
    """Cut a line where it rests for a beat or longer, and where another voice on another staff takes it over; without
    ornaments."""
    found: list[list[Note]] = []
    end = 0
    for note in line:
        if note.id in material.ornaments:
            continue
        gap = note.onset - end >= beat_ticks(material.score, note.onset)
        elsewhere = bool(found) and note.staff != found[-1][-1].staff and note.voice != found[-1][-1].voice
        if not found or gap or elsewhere:
            found.append([])
            end = note.end
        found[-1].append(note)
        end = max(end, note.end)
    return found


def _slots(material: Material, run: Sequence[Note], first: int) -> list[Slot]:
    events = _in_every_bar(material, list(_events(material, run, first)), run, first)
    events = _without_returns(material, events)
    last = max(note.end for note in run)
    slots = []
    for event, following in zip(events, [*events[1:], None], strict=True):
        end, stop = (following.onset, following.place) if following else (last, len(run))
        members = _joined(material, event, run[event.place : stop])
        members += _small(material, members[-1], end)
        reached = max(note.end for note in members)
        if following and following.head.onset <= min(reached, following.onset - 1):
            members += (following.head,)  # its time before the beat on which it is struck
        end = min(end, max(max(note.end for note in members), event.onset + 1))
        slots.append(Slot(event.onset, whole_end(material, event.onset, end), event.head, members, event.leaning))
    return slots


def _in_every_bar(material: Material, events: Sequence[_Event], run: Sequence[Note], first: int) -> list[_Event]:
    """``events``, and for each bar in which the tune strikes notes, but none that has a beat, the longest of these."""
    heard = {material.score.bar_at(event.onset).index for event in events}
    heard |= {material.score.bar_at(event.head.end - 1).index for event in events}
    found = list(events)
    bars: dict[int, list[int]] = {}
    for place, note in enumerate(run):
        if note.bar not in heard and (place >= first or not events):
            bars.setdefault(note.bar, []).append(place)
    for places in bars.values():
        longest = max(places, key=lambda place: (run[place].duration, -place))
        found.append(_Event(run[longest].onset, run[longest], longest, longest))
    return sorted(found, key=lambda event: event.onset)


def _joined(material: Material, event: _Event, notes: Sequence[Note]) -> tuple[Note, ...]:
    """The notes whose time a slot has: up to a bar line beyond which its head does not sound, or a rest of half a beat
    after it."""
    bar = material.score.bar_at(event.onset)
    joined = [event.head, *event.leaning]
    reached = max(note.end for note in joined)
    for note in notes:
        if note.onset - reached >= beat_ticks(material.score, event.onset) // 2 or note.onset >= max(
            bar.end, event.head.end
        ):
            break
        joined.append(note)
        reached = max(reached, note.end)
    return tuple(dict.fromkeys(joined))


def _events(material: Material, run: Sequence[Note], first: int) -> Iterator[_Event]:
    """What the tune does on each beat from the note at index ``first`` on: a note struck there or its goal, or one that
    came just before and is held."""
    score = material.score
    tick, place = beat_start(score, run[0].onset), 0
    end = max(note.end for note in run)
    begun = -1  # the index of the newest note that has an event
    while tick < end:
        step = beat_ticks(score, max(tick, 0))
        while place + 1 < len(run) and run[place + 1].onset <= tick:
            place += 1
        note = run[place]
        if note.onset == tick and place >= first:
            goal, leaning = _goal(material, run, place)
            if goal > begun and not _returns(material, run, place) and not _passes(material, run, place, goal):
                yield _Event(tick, run[goal], goal, place, leaning)
                begun = goal
        elif note.onset < tick < note.end and place >= first:
            goal, leaning = _resolution(material, run, place, tick)
            if goal > begun and leaning:
                yield _Event(tick, run[goal], goal, goal, leaning)
                begun = goal
            elif place > begun and tick - note.onset < step and note.end - tick >= tick - note.onset:
                yield _Event(tick, note, place, place)
                begun = place
        elif note.onset > tick or (note.end <= tick and place + 1 < len(run)):
            coming = place if note.onset > tick else place + 1
            late = _after_rest(run, coming, tick, step)
            if late is not None and coming >= first:
                silent = all(n.voice != run[coming].voice for n in _struck(material, run[coming], tick))
                silent = silent and material.rests_before(run[coming], tick)
                yield _Event(tick if silent else run[late].onset, run[late], late, coming)
                begun = late
        tick += step


def _struck(material: Material, note: Note, tick: int) -> tuple[Note, ...]:
    """What the staff of a note strikes from a tick up to it."""
    return material.struck_between(note.staff, tick, note.onset)


def _after_rest(run: Sequence[Note], place: int, tick: int, step: int) -> int | None:
    """The index of the note that stands for a beat which begins with a short rest: the longest of those up to the next
    beat, of these the first. None where the first comes in the second half of the beat: that leads to the next."""
    if 2 * (run[place].onset - tick) >= step:
        return None
    inside = [k for k in range(place, len(run)) if run[k].onset < tick + step]
    return max(inside, key=lambda k: (run[k].duration, -k)) if inside else None


def _passes(material: Material, run: Sequence[Note], place: int, goal: int) -> bool:
    """Whether a note on a beat only passes to a beat that is as strong: foreign, left and reached by step."""
    if goal != place or not 0 < place < len(run) - 1 or _in_scale(material, run, place):
        return False
    before, note, after = run[place - 1 : place + 2]
    joined = before.end >= note.onset and note.end >= after.onset
    steps = _is_step(before, note) and _is_step(note, after)
    return joined and steps and not material.is_chord_tone(note) and not _is_weaker(material, after, note)


def _is_weaker(material: Material, one: Note, other: Note) -> bool:
    """Whether one note stands in a weaker place of the metre than another."""
    return metrical_level(material.score, one.onset) < metrical_level(material.score, other.onset)


def _small(material: Material, note: Note, end: int) -> tuple[Note, ...]:
    """The small notes that decorate what follows ``note``, whose time it has."""
    return tuple(n for n in material.struck_between(note.staff, note.onset, end) if n.id in material.ornaments)


def _upbeats(material: Material, run: Sequence[Note]) -> int:
    """How many notes at the head of a run are upbeats: shorter than a beat, before the first bar line of a run that
    goes on beyond it."""
    bar = material.score.bar_at(run[0].onset)
    beat = beat_ticks(material.score, run[0].onset)
    before = [n for n in run if n.onset < bar.end]
    begins_the_bar = run[0].onset == bar.onset and not bar.lead
    if begins_the_bar or run[-1].onset < bar.end or bar.end - run[0].onset > 2 * beat:
        return 0
    return len(before) if all(n.duration < beat for n in before) else 0


def _goal(material: Material, run: Sequence[Note], place: int) -> tuple[int, tuple[Note, ...]]:
    """The index of the note that has the time of a note on a beat: itself, or what it leans on; with what leans."""
    note = run[place]
    if place + 1 == len(run) or _in_scale(material, run, place) or not _is_foreign(material, run, place):
        return place, ()
    goal = place + 1
    reading = material.reading(note)
    if reading.function in PREPARED and reading.resolves_to:
        # a resolution may be decorated itself
        goal = next((k for k in range(place + 1, min(place + 5, len(run))) if run[k].id == reading.resolves_to), goal)
    after = run[goal]
    if (
        note.voice != after.voice
        or not _is_step(note, after)
        or after.onset - note.end >= beat_ticks(material.score, note.onset) // 2
    ):
        return place, ()
    chord = material.harmony(note.onset)
    reached = place > 0 and _is_step(run[place - 1], note) and run[place - 1].end >= note.onset
    if not _is_weaker(material, after, note) and (reached or _is_weaker(material, note, after)):
        return place, ()
    stays = _on_one_ground(material, note, after)
    if not (stays and not _is_foreign(material, run, goal)) and after.pitch.pitch_class not in chord.pitch_classes:
        return place, ()
    return goal, (note,)


def _resolution(material: Material, run: Sequence[Note], place: int, tick: int) -> tuple[int, tuple[Note, ...]]:
    """As ``_goal``, for a note that is held over the beat at ``tick``."""
    note = run[place]
    if place + 1 == len(run):
        return place, ()
    chord = material.harmony(tick)
    foreign = bool(chord.pitch_classes) and note.pitch.pitch_class not in chord.pitch_classes
    changed = material.harmony_index(tick) != material.harmony_index(note.onset)
    after = run[place + 1]
    if not foreign or not changed or not _is_step(note, after):
        return place, ()
    stays = material.harmony_index(after.onset) == material.harmony_index(tick)
    if not stays or after.pitch.pitch_class not in chord.pitch_classes:
        return place, ()
    return place + 1, (note,)


def _is_foreign(material: Material, run: Sequence[Note], place: int) -> bool:
    """Whether a note does not belong: to its harmony, or to the whole chord that accompanies it, if what it goes on to
    by step does and the teacher does not say otherwise."""
    note = run[place]
    if not material.is_chord_tone(note):
        return True
    if place + 1 == len(run) or material.reading(note).why == TEACHERS_READING:
        return False
    after = run[place + 1]
    if not _is_step(note, after) or not _on_one_ground(material, note, after):
        return False
    under = material.accompaniment(note.onset)
    classes = note.pitch.pitch_class, after.pitch.pitch_class
    if len(under) < ACCOMPANIED or classes[0] in under:
        return False
    bass = lowest_at(material, beat_start(material.score, note.onset))
    above = [(pc - bass.pitch.pitch_class) % 12 for pc in classes] if bass is not None else []
    return classes[1] in under or (bool(above) and above[0] in DISSONANT and above[1] not in DISSONANT)


def _on_one_ground(material: Material, one: Note, other: Note) -> bool:
    """Whether two notes stand in one harmony, or over an accompaniment that stays the same where the tune alone makes
    another harmony of it."""
    places = material.harmony_index(one.onset), material.harmony_index(other.onset)
    under = material.accompaniment(one.onset)
    return places[0] == places[1] or (len(under) >= ACCOMPANIED and under == material.accompaniment(other.onset))


def _in_scale(material: Material, run: Sequence[Note], place: int) -> bool:
    """Whether a note stands in a scale: notes shorter than a beat, alike in length, each a step on in one direction."""
    note = run[place]
    if note.duration >= beat_ticks(material.score, note.onset):
        return False
    count = 1
    for direction in (-1, 1):
        k = place
        while 0 <= k + direction < len(run):
            one, other = run[k], run[k + direction]
            up = (other.midi - one.midi) * direction
            towards = run[place + 1].midi - note.midi if place + 1 < len(run) else note.midi - run[place - 1].midi
            if other.duration != note.duration or not _is_step(one, other) or up * towards <= 0:
                break
            count += 1
            k += direction
    return count >= SCALE


def _returns(material: Material, run: Sequence[Note], place: int) -> bool:
    """Whether a note on a beat, shorter than that, is only touched between two of one pitch that stays."""
    if not 0 < place < len(run) - 1:
        return False
    before, note, after = run[place - 1 : place + 2]
    harmony = {material.harmony_index(n.onset) for n in (before, note, after)}
    same = before.midi == after.midi and before.bar == note.bar == after.bar and len(harmony) == 1
    same = same and material.is_chord_tone(before)
    return (
        same and note.duration < beat_ticks(material.score, note.onset) and before.onset + before.duration == note.onset
    )


def _without_returns(material: Material, events: Sequence[_Event]) -> list[_Event]:
    """A pitch that comes back within its bar and harmony, over nothing but notes shorter than a beat, is one note."""
    kept: list[_Event] = []
    for event in events:
        if kept and _is_one(material, kept[-1], event):
            continue
        if len(kept) > 1 and _is_one(material, kept[-2], event) and _is_short(material, kept[-1]):
            kept.pop()
            continue
        kept.append(event)
    return kept


def _is_one(material: Material, one: _Event, other: _Event) -> bool:
    same = one.head.midi == other.head.midi and other.onset < material.score.bar_at(one.onset).end
    if not same or material.harmony_index(one.onset) != material.harmony_index(other.head.onset):
        return False
    return other.head.onset != other.onset or other.goal - one.goal > 1


def _is_short(material: Material, event: _Event) -> bool:
    return event.head.duration < beat_ticks(material.score, event.onset) and not event.leaning


def _is_step(one: Note, other: Note) -> bool:
    return move(one, other) in STEP


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


def _last(members: Sequence[Note], least: int) -> int:
    return max((note.end for note in members), default=least)


def _held_on(material: Material, slot: Slot, line: Sequence[Note], following: int) -> Slot:
    """A slot held through what is left out until the next, in its bar or as long as its notes sound."""
    end = min(following, max(material.score.bar_at(slot.onset).end, _last(slot.members, slot.onset)))
    low, high = (bisect_left(line, tick, key=lambda n: n.onset) for tick in (slot.onset, end))
    members = tuple(dict.fromkeys((*slot.members, *line[low:high])))
    end = whole_end(material, slot.onset, min(end, _last(members, end)))
    return replace(slot, end=max(end, slot.onset + 1), members=members)
