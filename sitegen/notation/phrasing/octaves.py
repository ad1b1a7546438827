"""Octave signs: over the stretch of notes that stay."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from sitegen.notation.phrasing.remaining import Remaining, between
from sitegen.reduction import StageNote
from sitegen.score import Note, Sign


def octave_signs(remaining: Remaining) -> Iterator[Sign]:
    """From the first to the last note left under it. It moves all that stands in its staff: of other notes those may
    that lie no further off than what the score has under it. Before any other it ends, and begins again behind, if it
    is then over more than one."""
    for sign in _one_at_a_time(remaining.score.signs):
        under = [n for n in between(remaining.score.notes, sign.onset, sign.end) if n.staff == sign.staff]
        there = between(remaining.of_staff[sign.staff], sign.onset, sign.end)
        own = {n.id for n in under}
        runs = _runs(there, under, sign)
        for place, (fits, notes) in enumerate(runs):
            left = [n for n in notes if n.sources[0] in own and n.midi == remaining.notes[n.sources[0]].midi]
            if fits and left and (len(runs) == 1 or left[0].onset < left[-1].onset):
                limit = runs[place + 1][1][0].onset if place + 1 < len(runs) else sign.end
                last = left[-1].onset
                end = max(n.end for n in notes if n.onset <= last)
                yield replace(sign, onset=left[0].onset, end=max(min(limit, end), last + 1))


def _one_at_a_time(signs: Sequence[Sign]) -> Iterator[Sign]:
    """Of signs of one staff that overlap, as where each voice has its own, one over all that they cover."""
    of_staff: dict[int, list[Sign]] = defaultdict(list)
    for sign in signs:
        if sign.kind == "octave":
            before = of_staff[sign.staff][-1:]
            if not before or sign.onset >= before[0].end:
                of_staff[sign.staff].append(sign)
            elif sign.text == before[0].text:
                of_staff[sign.staff][-1] = replace(before[0], end=max(before[0].end, sign.end))
            elif sign.end > before[0].end:
                of_staff[sign.staff].append(replace(sign, onset=before[0].end))
    for there in of_staff.values():
        yield from there


def _runs(there: Sequence[StageNote], under: Sequence[Note], sign: Sign) -> list[tuple[bool, list[StageNote]]]:
    """The notes that the sign may stand over, and those that it may not, in turn. It moves the first no further off
    the staff than some of ``under``, for which it was set."""
    upward = int(sign.text) > 0
    reach = [n.midi for n in under]

    def fits(struck: Sequence[StageNote]) -> bool:
        return all(n.midi >= min(reach) if upward else n.midi <= max(reach) for n in struck) if reach else False

    together = [list(struck) for _, struck in groupby(there, lambda note: note.onset)]
    return [(fit, [note for struck in run for note in struck]) for fit, run in groupby(together, fits)]
