"""Signs that stretch: slurs, hairpins, pedal and octave signs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from sitegen.notation.phrasing.places import at_staff
from sitegen.notation.phrasing.remaining import NoteOrder, Remaining, between
from sitegen.reduction import StageNote
from sitegen.score import Note, Placement, Sign, Slur


def slurs(remaining: Remaining) -> Iterator[Slur]:
    """From its first to its last note, where both are left; else from the first to the last note under it that is, in
    one hand; none where only one is."""
    seen: set[tuple[str, str]] = set()
    for slur in remaining.score.slurs:
        own = _named(remaining, slur, slur.first, slur.onset), _named(remaining, slur, slur.last, slur.end)
        left = [note for note in own if note is not None]
        if len(left) < 2:
            left = _left_under(remaining, slur)
        first = _end(remaining, left, own[0], min)
        last = _end(remaining, left, own[1], max)
        if first is None or last is None or remaining.order(first) >= remaining.order(last):
            continue
        if (first.id, last.id) not in seen:
            seen.add((first.id, last.id))
            onset = slur.onset if first is own[0] else first.onset
            end = slur.end if last is own[1] else last.onset
            side = _side(remaining, first, last) or slur.placement or _side_of_chords(remaining, first, last)
            first, last = (_outermost(remaining, note, side) for note in (first, last))
            yield Slur(first.id, last.id, onset, end, side)


def _named(remaining: Remaining, slur: Slur, name: str, at: int) -> StageNote | None:
    """What is left of the note that a slur names. One with a side of its own belongs to the whole chord, whichever
    note of it a file puts it at: to the outermost that is left."""
    note = remaining.notes[name]
    if not slur.placement or at != note.onset:
        return remaining.standing.get(name)
    left = [remaining.standing[n.id] for n in remaining.chord(note) if n.id in remaining.standing]
    left = [n for n in left if n.onset == at]
    outermost = max if slur.placement == "above" else min
    return outermost(left, key=lambda n: (n.midi, n.id), default=remaining.standing.get(name))


def _side(remaining: Remaining, first: StageNote, last: StageNote) -> Placement:
    """Over the upper of two voices of a staff and under the lower one, whether or not they are left in one chord."""
    sides: set[Placement] = set()
    for end in (first, last):
        voice = remaining.notes[end.sources[0]].voice
        there = remaining.sounding(end.staff, end.onset, end.onset + 1)
        others = [n.midi for n in there if remaining.notes[n.sources[0]].voice != voice]
        if others and (end.midi > max(others) or end.midi < min(others)):
            sides.add("above" if end.midi > max(others) else "below")
    return sides.pop() if len(sides) == 1 else ""


def _side_of_chords(remaining: Remaining, first: StageNote, last: StageNote) -> Placement:
    """Of a slur that meets chords and has no side of its own: under them where it meets the lowest note of each, else
    over them."""
    chords = [(note, _chord(remaining, note)) for note in (first, last)]
    if all(len(chord) == 1 for _, chord in chords):
        return ""
    return "below" if all(note.id == chord[0].id for note, chord in chords) else "above"


def _outermost(remaining: Remaining, note: StageNote, side: Placement) -> StageNote:
    """The note of its chord that a slur on ``side`` meets: from any other it would be drawn through the chord."""
    chord = _chord(remaining, note)
    return chord[-1] if side == "above" else chord[0] if side == "below" else note


def _chord(remaining: Remaining, note: StageNote) -> list[StageNote]:
    """The notes on one stem with ``note``, from low to high."""
    if note.grace:
        return [note]
    like = (note.onset, note.duration, note.voice, False)
    there = remaining.sounding(note.staff, note.onset, note.onset + 1)
    return sorted((n for n in there if (n.onset, n.duration, n.voice, n.grace) == like), key=lambda n: (n.midi, n.id))


def _left_under(remaining: Remaining, slur: Slur) -> list[StageNote]:
    first, last = remaining.notes[slur.first], remaining.notes[slur.last]
    under = [
        note
        for voice in sorted({first.voice, last.voice})
        for note in between(remaining.of_voice[voice], slur.onset, slur.end + 1)
        if _is_under(note, first, last)
    ]
    left = [remaining.standing[n.id] for n in under if n.id in remaining.standing]
    left = [note for note in left if slur.onset <= note.onset <= slur.end]
    hand = Counter(note.staff for note in left).most_common(1)
    return [note for note in left if note.staff == hand[0][0]]


def _is_under(note: Note, first: Note, last: Note) -> bool:
    """Not a grace before the first note, nor the chord behind a grace that the slur ends at."""
    if note.grace and note.onset == first.onset and not first.grace:
        return False
    return note.grace or not last.grace or note.onset < last.onset


def _end(
    remaining: Remaining,
    left: Sequence[StageNote],
    own: StageNote | None,
    which: Callable[[Iterable[NoteOrder]], NoteOrder],
) -> StageNote | None:
    """The note that the score has the slur end at; where it is gone, the highest at that end of what is left."""
    if own in left:
        return own
    if not left:
        return None
    place = which(remaining.order(note) for note in left)
    return max((n for n in left if remaining.order(n) == place), key=lambda n: (n.midi, n.id))


def hairpins(remaining: Remaining) -> Iterator[Sign]:
    """Over their stretch, where two notes are left that can differ in loudness, or all that the score strikes."""
    for sign in remaining.score.signs:
        if sign.kind != "hairpin":
            continue
        staves = remaining.staves(sign)
        staff = remaining.home(sign, sign.onset, sign.end)
        left = remaining.struck(staves, sign.onset, sign.end + 1)
        if staff is not None and (len(left) > 1 or left == remaining.struck_in_score(staves, sign.onset, sign.end + 1)):
            yield at_staff(sign, staff)


def pedals(remaining: Remaining) -> Iterator[Sign]:
    """Where the bass is left that the pedal holds: the lowest note that sounds when it goes down, else within the
    beat. They stand under the lower staff."""
    for sign in remaining.score.signs:
        if sign.kind != "pedal":
            continue
        until = max(remaining.end_of_beat(sign.onset), sign.onset + 1)
        held = remaining.held_in_score(sign.onset) or remaining.struck_after(sign.onset, until)
        bass = min(held, key=lambda n: (n.midi, n.onset), default=None)
        heir = remaining.heirs.get(bass.id) if bass is not None else None
        if heir is not None and heir.onset < max(until, sign.end):
            lowest = max((s.number for s in remaining.score.staves if s.hand is not None), default=sign.staff)
            yield replace(sign, staff=lowest, placement="below")
