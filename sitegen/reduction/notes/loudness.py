"""How loud each note of a stage is struck, from the score's own signs: levels, hairpins between them, blows, accents.

Figures are MIDI velocities, 1 to 127. A stage keeps the loudness of the passage: what is struck at a place has the
level that the score has reached there, whichever of its notes are left.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sitegen.reduction.nouns import StageNote
from sitegen.score import Score, Sign

STEP = 14
"""Between two neighbouring marks: as far apart everywhere, since a player hears her levels as equal steps. Eight of
them, ``ppp`` to ``fff``, then fill what a keyboard can be struck with, and the mark halfway up is the middle of it."""

LEVELS: Mapping[str, int] = {
    "n": 8, "pppp": 12, "ppp": 22, "pp": 36, "p": 50, "mp": 64,
    "mf": 78, "f": 92, "ff": 106, "fff": 120, "ffff": 127,
    "pf": 85,
}  # fmt: skip
"""What each mark asks for. ``pf`` is *poco forte*, short of forte; more letters than four say no more than four."""

UNMARKED = LEVELS["mf"]
"""Where nothing is printed one plays moderately, and so does a score before its first mark."""

ACCENTS: Mapping[str, int] = {"accent": 10, "strong-accent": 16}
"""How much more an accented note has than its neighbours: less than the next mark would, for the passage stays what it
is; a *marcato* a little more than that."""

SUDDEN, REINFORCED = 20, 12
"""What ``sf``, ``sfz``, ``fz`` add to the level around them: it stands out in piano and in forte, but a ``sf`` in piano
is no forte. ``rf`` stresses without a blow."""

LONGEST_SWELL = 8
"""Bars: a level that comes later than this after ``cresc.`` is not what it led to."""

UNLED_SWELL = 4
"""Bars in which a ``cresc.`` that leads to no level has grown by one."""

_LEVEL = re.compile(r"n|m[pf]|pf|p+|f+")
_BLOW = re.compile(r"(?P<kind>s|rs?|)(?P<forte>f+)(?P<sharp>z?)(?P<after>p*)(?P<end>z?)")
_SWELL = re.compile(r"(?P<more>cresc|accresc)|(?P<less>decresc|dim|smorz|morendo|perdendo|calando)", re.I)


def velocities(score: Score, notes: Sequence[StageNote]) -> dict[str, int]:
    """The velocity of each of the ``notes`` by its id."""
    curves = {staff.number: _Curve(score, staff.number) for staff in score.staves}
    accents = _accents(score)
    found = {}
    for note in notes:
        added = max((accents.get((source, note.onset), 0) for source in note.sources), default=0)
        found[note.id] = _within(curves[note.staff].at(note.onset) + added)
    return found


@dataclass(frozen=True, slots=True)
class _Blow:
    """At one tick: ``added`` to the level, and at least ``least``."""

    added: int = 0
    least: int = 0


@dataclass(frozen=True, slots=True)
class _Way:
    """From ``onset`` to ``end`` (ticks) the level goes from ``before`` to ``after``, and stays there."""

    onset: int
    end: int
    before: float
    after: float

    def at(self, tick: int) -> float:
        if tick >= self.end:
            return self.after
        return self.before + (self.after - self.before) * (tick - self.onset) / (self.end - self.onset)


class _Curve:
    """The level of a staff at each tick, and its blows."""

    def __init__(self, score: Score, staff: int) -> None:
        signs = _signs_for(score, staff)
        self.blows: dict[int, _Blow] = {}
        levels: dict[int, int] = {}
        swells: dict[int, tuple[int, int]] = {}
        for sign in signs:
            if sign.kind == "hairpin":
                if sign.end > sign.onset:
                    swells[sign.onset] = (sign.end, -1 if sign.text.startswith("dim") else 1)
            elif (level := _level(sign.text)) is not None:
                levels[sign.onset] = level
            elif blow := _BLOW.fullmatch(sign.text):
                self.blows[sign.onset] = _blow(blow)
                if blow["after"]:
                    levels[sign.onset + 1] = _level(blow["after"]) or UNMARKED
            elif swell := _SWELL.match(sign.text.strip(" (")):
                swells.setdefault(sign.onset, (0, 1 if swell["more"] else -1))
        self.ways = _ways(score, levels, swells)
        self.onsets = [way.onset for way in self.ways]

    def at(self, tick: int) -> float:
        place = bisect_right(self.onsets, tick)
        level = self.ways[place - 1].at(tick) if place else UNMARKED
        blow = self.blows.get(tick)
        return max(level + blow.added, blow.least) if blow else level


def _ways(score: Score, levels: Mapping[int, int], swells: Mapping[int, tuple[int, int]]) -> list[_Way]:
    """Levels and the swells between them in order. A swell goes on to the level that stands at its end, or within the
    beat after it, if that lies its way; else by one step, and however many follow each other never further than a step
    beyond what is printed: nobody reads a row of short hairpins as a way into silence. ``swells`` tell by their onset
    where they end (0: where the next sign of loudness stands) and which way they go."""
    said = [UNMARKED, *levels.values()]
    softest, loudest = min(said) - STEP, max(said) + STEP
    ways: list[_Way] = []
    turns = sorted(levels.keys() | swells.keys())
    for place, tick in enumerate(turns):
        level: float = ways[-1].at(tick) if ways else UNMARKED
        if tick in levels:
            level = levels[tick]
            ways.append(_Way(tick, tick, level, level))
        if tick not in swells:
            continue
        end, direction = swells[tick]
        following = turns[place + 1] if place + 1 < len(turns) else None
        to = _led_to(score, tick, end, following)
        target = levels.get(to) if to is not None else None
        if to is None or target is None or (target - level) * direction <= 0:
            to = min(x for x in (end or _bars_on(score, tick, UNLED_SWELL), following) if x is not None)
            target = _within(min(loudest, max(softest, level + direction * STEP)))
        ways.append(_Way(tick, to, level, target))
    return ways


def _led_to(score: Score, tick: int, end: int, following: int | None) -> int | None:
    """The next sign of loudness, where a swell from ``tick`` to ``end`` leads to it."""
    if end:
        limit = end + score.ticks(score.bar_at(end).metre.beat_quarters)
    else:
        limit = _bars_on(score, tick, LONGEST_SWELL)
    return following if following is not None and following <= limit else None


def _bars_on(score: Score, tick: int, count: int) -> int:
    """The tick ``count`` bars later, the end of the piece at most."""
    bar = score.bar_at(tick)
    later = bar.index + count
    return score.bars[later].onset + tick - bar.onset if later < len(score.bars) else max(score.end, tick + 1)


def _signs_for(score: Score, staff: int) -> list[Sign]:
    """The signs of loudness that speak to a staff, those of others before its own, so that its own count where they
    meet. A staff to which none speaks goes with the other hand."""
    said = [sign for sign in score.signs if sign.kind in ("dynamic", "hairpin", "words")]
    mine = [sign for sign in said if staff in score.spoken_to(sign)]
    if score.hand_of(staff) is not None and not any(_is_level(sign) for sign in mine):
        mine = [sign for sign in said if score.hand_of(sign.staff) is not None]
    return sorted(mine, key=lambda sign: (sign.onset, sign.staff == staff))


def _is_level(sign: Sign) -> bool:
    return sign.kind == "dynamic" and _level(sign.text) is not None


def _level(text: str) -> int | None:
    """What a mark asks for; None of what is no level."""
    return LEVELS[text[:4]] if _LEVEL.fullmatch(text) else None


def _blow(found: re.Match[str]) -> _Blow:
    if found["kind"].startswith("r"):
        return _Blow(REINFORCED)
    if found["kind"] or found["sharp"] or found["end"]:
        return _Blow(SUDDEN + STEP // 2 * (len(found["forte"]) - 1))
    return _Blow(0, LEVELS[found["forte"][:4]])


def _accents(score: Score) -> dict[tuple[str, int], int]:
    """What is added to a note of the score struck at its tick: an accent holds for all of its chord."""
    chords: dict[str, int] = {}
    for note in score.notes:
        added = max((ACCENTS.get(name, 0) for name in note.articulations), default=0)
        if added:
            name = note.chord or note.id
            chords[name] = max(added, chords.get(name, 0))
    return {
        (note.id, note.onset): chords[note.chord or note.id]
        for note in score.notes
        if (note.chord or note.id) in chords
    }


def _within(velocity: float) -> int:
    return max(1, min(127, round(velocity)))
