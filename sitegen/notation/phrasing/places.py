"""Signs that stand at one place: dynamics and words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from sitegen.notation.phrasing.remaining import Remaining
from sitegen.score import Note, Sign

#: Dynamics that hold until the next, and those that are blows on one note. Others (``cresc.``) are words.
LEVEL = re.compile(r"p{1,6}|f{1,6}|m[pf]|n")
BLOW = re.compile(r"s?f+z?p*z?|s?rfz?|s?ffz?|fp+|pf|rf")
#: Words about one note alone: the hand that takes it, or an octave to play it in.
OF_ONE_NOTE = re.compile(r"[(]?(m\.? ?[dsg]\.?|[rl]\.? ?h\.?|8v[ab]|15m[ab]|loco|8|15)[)]?", re.I)


def dynamics(remaining: Remaining) -> Iterator[Sign]:
    """Where they stand, if something is struck there; else at the next note struck within the beat. One that holds
    waits for the next note, as long as no other comes before it. None moves to where another stands."""
    said = [(sign, set(remaining.staves(sign))) for sign in remaining.score.signs if sign.kind == "dynamic"]
    found = [(sign, staves) for sign, staves in said if _is_loudness(sign)]
    for place, (sign, staves) in enumerate(found):
        following = (s.onset for s, of in found[place + 1 :] if s.onset > sign.onset and staves & of)
        limit = next(following, remaining.score.end)
        at = _place(remaining, sign, min(limit, remaining.end_of_beat(sign.onset)))
        if at != sign.onset:
            taken = {s.onset for s, of in said if s is not sign and staves & of}
            if at is None or at in taken:
                waits = remaining.struck(staves, sign.onset, limit) if LEVEL.fullmatch(sign.text) else []
                at = next((tick for tick in waits if tick not in taken), None)
        if at is not None:
            yield from _printed(remaining, sign, at)


def words(remaining: Remaining) -> Iterator[Sign]:
    """Where they stand, if something sounds there; else at the next note struck within the beat. Those about one note
    go with it."""
    for sign in remaining.score.signs:
        if sign.kind != "words" and (sign.kind != "dynamic" or _is_loudness(sign)):
            continue
        at = _place(remaining, sign, remaining.end_of_beat(sign.onset))
        if OF_ONE_NOTE.fullmatch(sign.text):
            note = _beside(remaining, sign)
            at = sign.onset if note is not None and remaining.kept(note) else None
        elif at is None and any(remaining.sounding(s, sign.onset, sign.onset + 1) for s in remaining.staves(sign)):
            at = sign.onset
        if at is not None:
            yield from _printed(remaining, sign, at)


def _beside(remaining: Remaining, sign: Sign) -> Note | None:
    """The note that words of one note stand beside: the lowest of their staff where they are below it, else the
    highest; where their staff strikes none, that of the other one."""
    for staff in remaining.staves(sign):
        there = [n for n in remaining.score.notes if n.onset == sign.onset and n.staff == staff]
        if there:
            below = (sign.placement == "below") == (staff == sign.staff)
            return (min if below else max)(there, key=lambda n: n.midi)
    return None


def _is_loudness(sign: Sign) -> bool:
    return LEVEL.fullmatch(sign.text) is not None or BLOW.fullmatch(sign.text) is not None


def _place(remaining: Remaining, sign: Sign, limit: int) -> int | None:
    """Where the sign stands or the next tick before ``limit`` at which the stage strikes a note; over a note that the
    score holds, where the stage holds one too."""
    staves = remaining.staves(sign)
    if not remaining.struck_in_score(staves, sign.onset, sign.onset + 1):
        held = any(remaining.sounding(staff, sign.onset, sign.onset + 1) for staff in staves)
        silent = not any(n.staff in staves for n in remaining.held_in_score(sign.onset))
        if held or (silent and remaining.home(sign, *_bar(remaining, sign.onset)) is not None):
            return sign.onset
    return next(iter(remaining.struck(staves, sign.onset, max(limit, sign.onset + 1))), None)


def _bar(remaining: Remaining, tick: int) -> tuple[int, int]:
    bar = remaining.score.bar_at(tick)
    return bar.onset, bar.end


def _printed(remaining: Remaining, sign: Sign, at: int) -> Iterator[Sign]:
    staff = remaining.home(sign, *_bar(remaining, at))
    if staff is not None:
        yield replace(at_staff(sign, staff), onset=at, end=at)


def at_staff(sign: Sign, staff: int) -> Sign:
    """The sign on the same side of the space between two staves, told of ``staff``."""
    if staff == sign.staff:
        return sign
    return replace(sign, staff=staff, placement="above" if staff > sign.staff else "below")
