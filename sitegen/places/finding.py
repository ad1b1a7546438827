"""From a ``Place`` to the note or the stretch of a score that it speaks of."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction

from sitegen.errors import ContentError
from sitegen.places.bars import find_bars
from sitegen.places.naming import first_of_whole, name_bars
from sitegen.places.nouns import Place, Spot
from sitegen.places.printing import beat_number, place_of_note, voice_in_staff
from sitegen.score import Note, Score


def find_note(score: Score, place: Place) -> Note:
    """The one note that a place speaks of. Raises ``ContentError`` where it matches no note, or several."""
    spot = find_spot(score, place)
    low = bisect_left(score.notes, spot.onset, key=lambda n: n.onset)
    high = bisect_left(score.notes, spot.end, key=lambda n: n.onset)
    near = [note for note in score.notes[low:high] if note.staff in spot.staves and note.grace == place.grace]
    found = [note for note in near if _fits(place, note)]
    if place.height is not None and found:
        midis = [note.midi for note in found]
        extreme = max(midis) if place.height == "top" else min(midis)
        found = [note for note in found if note.midi == extreme]
    if place.count is not None:
        found = found[place.count - 1 : place.count]
    if len(found) == 1:
        return found[0]
    if found:
        raise ContentError(f"'{place.text}' matches {len(found)} notes", _nearest(score, found))
    if not near:
        bar = score.bar_at(spot.onset)
        near = [note for note in score.notes if bar.onset <= note.onset < bar.end and note.staff in spot.staves]
    near.sort(key=lambda n: (abs(n.onset - spot.onset), place.step not in (None, n.pitch.step), -n.midi))
    raise ContentError(f"'{place.text}' matches no note", _nearest(score, near))


def find_spot(score: Score, place: Place) -> Spot:
    """The stretch that a place speaks of: a moment where it gives a beat, else whole bars.

    Raises ``ContentError`` for a bar, beat, hand or staff that the score does not have.
    """
    first, last = find_bars(name_bars(score.bars, score.ticks_per_quarter), place)
    onset, end = score.bars[first].onset, score.bars[last].end
    staves = _staves(score, place)
    if place.beat is None:
        return Spot(onset, end, staves)
    head = score.bars[first_of_whole(score.bars, first, score.ticks_per_quarter)]
    beat = head.metre.beat_quarters * score.ticks_per_quarter
    start = head.onset - head.lead
    tick = start + place.beat * beat
    if tick.denominator != 1 or not onset <= tick < end:
        counted = Fraction(onset - start) / beat // 1 + 1, -(-Fraction(end - start) // beat)
        beats = f"{counted[1]} beats" if counted[0] == 1 else f"beats {counted[0]} to {counted[1]}"
        beats = f"beat {counted[0]} only" if counted[0] == counted[1] else beats
        what = f"bar {place.first} has no place 'beat {beat_number(place.beat)}'"
        raise ContentError(what, f"it has {beats}, in {head.metre.name}")
    return Spot(int(tick), int(tick) + 1, staves)


def _fits(place: Place, note: Note) -> bool:
    return (
        (place.step is None or (note.pitch.step, note.pitch.alter) == (place.step, place.alter))
        and (place.octave is None or note.pitch.octave == place.octave)
        and (place.voice is None or voice_in_staff(note) == place.voice)
    )


def _staves(score: Score, place: Place) -> tuple[int, ...]:
    found = tuple(
        staff.number
        for staff in score.staves
        if place.staff in (None, staff.number) and place.hand in (None, staff.hand)
    )
    if not found:
        named = f"staff {place.staff}" if place.staff is not None else f"{place.hand} hand"
        raise ContentError(f"the score has no {named}", f"it has {len(score.staves)} staves")
    return found


def _nearest(score: Score, notes: Sequence[Note]) -> str:
    if not notes:
        return "nothing is played there"
    return "the nearest are: " + "; ".join(f"'{place_of_note(score, note)}'" for note in notes[:3])
