"""What the tune does on each beat: a note struck there, the goal of one that leans there, or a note held over it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sitegen.reduction.material import Material
from sitegen.reduction.melody.leaning import goal_of, resolution_of
from sitegen.reduction.melody.line_reading import passes, returns
from sitegen.score import Note, Score
from sitegen.score.metre import beat_start, beat_ticks


@dataclass(frozen=True, slots=True)
class BeatOfTune:
    """What the tune does on the beat at ``onset``: the note at index ``goal`` of its run has the time of that at index
    ``place``, and of those that lean on it."""

    onset: int
    head: Note
    goal: int
    place: int
    leaning: tuple[Note, ...] = ()


def events_of(material: Material, run: Sequence[Note], first: int) -> Iterator[BeatOfTune]:
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
            goal, leaning = goal_of(material, run, place)
            if goal > begun and not returns(material, run, place) and not passes(material, run, place, goal):
                yield BeatOfTune(tick, run[goal], goal, place, leaning)
                begun = goal
        elif note.onset < tick < note.end and place >= first:
            goal, leaning = resolution_of(material, run, place, tick)
            if goal > begun and leaning:
                yield BeatOfTune(tick, run[goal], goal, goal, leaning)
                begun = goal
            elif place > begun and tick - note.onset < step and note.end - tick >= tick - note.onset:
                yield BeatOfTune(tick, note, place, place)
                begun = place
        elif note.onset > tick or (note.end <= tick and place + 1 < len(run)):
            coming = place if note.onset > tick else place + 1
            late = _after_rest(run, coming, tick, step)
            if late is not None and coming >= first:
                # a beat that an upbeat begins within lies before all music
                voices = {run[coming].voice, run[late].voice}
                silent = tick >= 0 and all(n.voice not in voices for n in _struck(material, run[coming], tick))
                silent = silent and material.rests_before(run[coming], tick)
                yield BeatOfTune(tick if silent else run[late].onset, run[late], late, coming)
                begun = late
        tick = _next_beat(score, tick + step)


def _next_beat(score: Score, tick: int) -> int:
    """``tick``, a beat after one; where a bar that is no whole number of beats ended before it, the first of the next
    bar."""
    off = score.place_in_metre(tick) % beat_ticks(score, tick)
    if tick <= 0 or not off:
        return tick
    bar = score.bar_at(tick)
    return bar.onset + -bar.lead % beat_ticks(score, bar.onset)


def in_every_bar(material: Material, events: Sequence[BeatOfTune], run: Sequence[Note], first: int) -> list[BeatOfTune]:
    """``events``, and for each bar in which the tune strikes notes, but none that has a beat, the longest of these; not
    what is tied over and has its beat in the next bar."""
    heard = {material.score.bar_at(event.onset).index for event in events}
    heard |= {material.score.bar_at(event.head.end - 1).index for event in events}
    heads = {event.head.id for event in events}
    found = list(events)
    bars: dict[int, list[int]] = {}
    for place, note in enumerate(run):
        if note.bar not in heard and note.id not in heads and (place >= first or not events):
            bars.setdefault(note.bar, []).append(place)
    for places in bars.values():
        longest = max(places, key=lambda place: (run[place].duration, -place))
        found.append(BeatOfTune(run[longest].onset, run[longest], longest, longest))
    return sorted(found, key=lambda event: event.onset)


def without_returns(material: Material, events: Sequence[BeatOfTune]) -> list[BeatOfTune]:
    """A pitch that comes back within its bar and harmony, over nothing but notes shorter than a beat, is one note."""
    kept: list[BeatOfTune] = []
    for event in events:
        if kept and _is_one(material, kept[-1], event):
            continue
        if len(kept) > 1 and _is_one(material, kept[-2], event) and _is_short(material, kept[-1]):
            kept.pop()
            continue
        kept.append(event)
    return kept


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


def _is_one(material: Material, one: BeatOfTune, other: BeatOfTune) -> bool:
    same = one.head.midi == other.head.midi and other.onset < material.score.bar_at(one.onset).end
    if not same or material.harmony_index(one.onset) != material.harmony_index(other.head.onset):
        return False
    return other.head.onset != other.onset or other.goal - one.goal > 1


def _is_short(material: Material, event: BeatOfTune) -> bool:
    return event.head.duration < beat_ticks(material.score, event.onset) and not event.leaning
