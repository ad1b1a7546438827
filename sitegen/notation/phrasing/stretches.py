"""Signs that stretch: slurs, hairpins, pedal and octave signs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from sitegen.notation.phrasing.places import at_staff
from sitegen.notation.phrasing.remaining import Remaining
from sitegen.reduction.nouns import StageNote
from sitegen.score import Note, Sign, Slur


def slurs(remaining: Remaining) -> Iterator[Slur]:
    """From the first to the last note under it that is left, in one hand; none where only one is."""
    seen: set[tuple[str, str]] = set()
    for slur in remaining.score.slurs:
        left = _left_under(remaining, slur)
        if len(left) < 2:
            continue
        first = _end(left, slur.first, min(map(_order, left)))
        last = _end(left, slur.last, max(map(_order, left)))
        if _order(first) < _order(last) and (first.id, last.id) not in seen:
            seen.add((first.id, last.id))
            end = slur.end if last.sources[0] == slur.last else last.onset
            yield Slur(first.id, last.id, first.onset, end, slur.placement)


def _left_under(remaining: Remaining, slur: Slur) -> list[StageNote]:
    first, last = remaining.notes[slur.first], remaining.notes[slur.last]
    under = [
        n
        for voice in sorted({first.voice, last.voice})
        for n in remaining.of_voice[voice]
        if slur.onset <= n.onset <= slur.end and _is_under(n, first, last)
    ]
    pairs = [(n, remaining.standing[n.id]) for n in under if n.id in remaining.standing]
    pairs = [(n, left) for n, left in pairs if slur.onset <= left.onset <= slur.end]
    ends = [left for n, left in pairs if n.id in (first.id, last.id) and left.staff == n.staff]
    if len(ends) == 2:
        return [left for n, left in pairs if left.staff == n.staff]
    hand = Counter(left.staff for _, left in pairs).most_common(1)
    return [left for _, left in pairs if left.staff == hand[0][0]]


def _is_under(note: Note, first: Note, last: Note) -> bool:
    """Not a grace before the first note, nor the chord behind a grace that the slur ends at."""
    if note.grace and note.onset == first.onset and not first.grace:
        return False
    return note.grace or not last.grace or note.onset < last.onset


def _order(note: StageNote) -> tuple[int, bool]:
    return note.onset, not note.grace


def _end(left: list[StageNote], own: str, place: tuple[int, bool]) -> StageNote:
    """Of the notes at an end of a slur the one that the score has it at, else the highest."""
    there = [note for note in left if _order(note) == place]
    return max(there, key=lambda n: (n.sources[0] == own, n.midi, n.id))


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
    """Where the bass is left that the pedal holds: the lowest note that sounds when it goes down, or within the beat."""
    for sign in remaining.score.signs:
        if sign.kind != "pedal":
            continue
        until = remaining.end_of_beat(sign.onset)
        until = min(until, sign.end) if sign.end > sign.onset else until
        held = [n for n in remaining.score.sounding() if n.onset < until and n.end > sign.onset]
        bass = min(held, key=lambda n: (n.midi, n.onset), default=None)
        heir = remaining.heirs.get(bass.id) if bass is not None else None
        if heir is not None and heir.onset < max(until, sign.end):
            yield sign


def octave_signs(remaining: Remaining) -> Iterator[Sign]:
    """From the first to the last note left under it, where every note of the staff there is one of them."""
    before: dict[int, int] = {}
    for sign in remaining.score.signs:
        if sign.kind != "octave" or sign.end <= before.get(sign.staff, -1):
            continue
        there = [n for n in remaining.of_staff[sign.staff] if sign.onset <= n.onset < sign.end]
        own = [remaining.notes[n.sources[0]] for n in there]
        same = all(
            n.midi == o.midi and o.staff == sign.staff and sign.onset <= o.onset < sign.end
            for n, o in zip(there, own, strict=True)
        )
        if there and same:
            before[sign.staff] = sign.end
            end = min(sign.end, max(n.end for n in there))
            yield replace(sign, onset=there[0].onset, end=max(end, there[-1].onset + 1))
