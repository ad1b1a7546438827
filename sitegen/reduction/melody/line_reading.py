"""How a line reads: where it is cut into runs, what only leads up to a bar, what is a scale, what passes or returns.

A scale is reduced to its notes on the beats, foreign or not. Upbeats shorter than a beat belong to what they lead to.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.analysis.functions import STEP, move
from sitegen.reduction.material import Material
from sitegen.score import Note
from sitegen.score.metre import beat_ticks, metrical_level

SCALE = 5  # notes in a row, of one length and in one direction by step, that make a scale


def runs_of(material: Material, line: Sequence[Note]) -> list[list[Note]]:
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


def upbeats_of(material: Material, run: Sequence[Note]) -> int:
    """How many notes at the head of a run are upbeats: shorter than a beat, before the first bar line of a run that
    goes on beyond it."""
    bar = material.score.bar_at(run[0].onset)
    beat = beat_ticks(material.score, run[0].onset)
    before = [n for n in run if n.onset < bar.end]
    begins_the_bar = run[0].onset == bar.onset and not bar.lead
    if begins_the_bar or run[-1].onset < bar.end or bar.end - run[0].onset > 2 * beat:
        return 0
    return len(before) if all(n.duration < beat for n in before) else 0


def in_scale(material: Material, run: Sequence[Note], place: int) -> bool:
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
            if other.duration != note.duration or not is_step(one, other) or up * towards <= 0:
                break
            count += 1
            k += direction
    return count >= SCALE


def passes(material: Material, run: Sequence[Note], place: int, goal: int) -> bool:
    """Whether a note on a beat only passes to a beat that is as strong: foreign, left and reached by step."""
    if goal != place or not 0 < place < len(run) - 1 or in_scale(material, run, place):
        return False
    before, note, after = run[place - 1 : place + 2]
    joined = before.end >= note.onset and note.end >= after.onset
    steps = is_step(before, note) and is_step(note, after)
    return joined and steps and not material.is_chord_tone(note) and not is_weaker(material, after, note)


def returns(material: Material, run: Sequence[Note], place: int) -> bool:
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


def is_step(one: Note, other: Note) -> bool:
    """Whether one note goes on to another by step."""
    return move(one, other) in STEP


def is_weaker(material: Material, one: Note, other: Note) -> bool:
    """Whether one note stands in a weaker place of the metre than another."""
    return metrical_level(material.score, one.onset) < metrical_level(material.score, other.onset)
