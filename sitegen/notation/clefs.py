"""Which clef each staff has: the score's own where the stage needs it, and no more changes than its notes ask for.

A clef that is in force stays while nothing lies further than two ledger lines off the staff. Where that is not so the
score's own clef comes, at the bar line, where the score has it or after a rest, and may have more ledger lines; where
the notes lie far off it too, the plain clef that lies nearest.

A clef that would hold for no more than a bar is not worth two changes: the one before stays, with up to four ledger
lines, unless the score itself changes there and back (Gould, *Behind Bars*, 2011, "Clefs"). Where the score itself has
the clef in that bar, three ledger lines are enough to take it: the hand knows the place by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sitegen.notation.voices import Chord
from sitegen.score import Bar, Clef, Score, Sign

_MIDDLE = {"G": 34, "F": 22, "C": 28}  # diatonic number of the middle line: B4, D3, C4
_LINE = {"G": 2, "F": 4, "C": 3}
LIMIT = 8  # steps from the middle line: two ledger lines
FAR = 10  # for the score's own clef, on average: three
FARTHEST = 12  # for a single chord or bar: four

Changes = list[tuple[int, Clef]]


def choose_clefs(score: Score, staff: int, bars: Sequence[Sequence[Chord]]) -> list[Changes]:
    """For each bar the clefs that begin in it, with the tick at which they do; the first bar always has one."""
    own = sorted((c for c in score.clefs if c.staff == staff), key=lambda c: c.onset)
    default = Clef(staff, 0, "F", 4) if score.hand_of(staff) == "left" else Clef(staff, 0, "G", 2)
    home = own[0] if own and own[0].onset == 0 else default
    current: Clef | None = None
    parts: list[_Part] = []
    for bar, chords in zip(score.bars, bars, strict=True):
        for place, (start, some) in enumerate(_parts(bar, chords, own, current, home)):
            written = next((c for c in reversed(own) if some and c.onset <= start), home)
            current = _wanted(some, written, current, home)
            parts.append(_Part(bar, start if place else bar.onset, some, current))
    chosen: list[Changes] = [[] for _ in score.bars]
    before: Clef | None = None
    for part in _without_short_changes(parts, own):
        if before is None or not _alike(before, part.clef):
            chosen[part.bar.index].append((part.start, part.clef))
            before = part.clef
    return chosen


def as_printed(chord: Chord, octave_signs: Sequence[Sign]) -> Chord:
    """The chord where it stands on the staff: under an octave sign lower or higher than it sounds."""
    shift = next((int(s.text) for s in octave_signs if s.onset <= chord.onset < s.end), 0)
    if not shift:
        return chord
    heads = (replace(h, pitch=replace(h.pitch, octave=h.pitch.octave - shift)) for h in chord.heads)
    return replace(chord, heads=tuple(heads))


@dataclass(frozen=True, slots=True)
class _Part:
    """What stands in one bar, or in a part of it that the score gives a clef of its own, and the clef it asks for."""

    bar: Bar
    start: int
    chords: Sequence[Chord]
    clef: Clef


def _without_short_changes(parts: Sequence[_Part], own: Sequence[Clef]) -> list[_Part]:
    """The parts, where a clef that is left again within a bar is not taken."""
    kept = list(parts)
    runs: list[list[int]] = []
    for place, part in enumerate(parts):
        if place and _alike(parts[place - 1].clef, part.clef):
            runs[-1].append(place)
        else:
            runs.append([place])
    for before, run, after in zip(runs, runs[1:], runs[2:], strict=False):
        clef, back = kept[before[-1]].clef, parts[after[0]].clef
        sounding = [chord for place in run for chord in parts[place].chords]
        within_a_bar = len({parts[place].bar.index for place in run}) == 1
        if not (within_a_bar and _alike(clef, back)) or _printed(parts[run[0]], parts[after[0]], own):
            continue
        most = FAR if _in_force(parts[run[0]], own) else FARTHEST
        if all(step <= most for step in _steps(clef, sounding)):
            for place in run:
                kept[place] = replace(kept[place], clef=clef)
    return kept


def _printed(part: _Part, following: _Part, own: Sequence[Clef]) -> bool:
    """Whether the score itself takes the clef of a part within its bar and leaves it before the next but one."""
    taken = [c for c in own if part.bar.onset <= c.onset <= following.start and _alike(c, part.clef)]
    return any(c.onset < other.onset <= following.bar.end for c in taken for other in own if not _alike(c, other))


def _in_force(part: _Part, own: Sequence[Clef]) -> bool:
    """Whether the score itself has the clef of a part where that begins."""
    clef = next((c for c in reversed(own) if c.onset <= part.start), None)
    return clef is not None and _alike(clef, part.clef)


def _parts(
    bar: Bar, chords: Sequence[Chord], own: Sequence[Clef], current: Clef | None, home: Clef
) -> list[tuple[int, Sequence[Chord]]]:
    """The chords of a bar, cut where the score changes its clef, else after its rests, if no clef fits them all."""
    start = min((c.onset for c in chords), default=bar.onset)
    candidates = [c for c in (current, home, *own) if c is not None]
    inside = {c.onset for c in own if start < c.onset < bar.end} or _after_rests(chords)
    if not chords or not inside or any(_fits(clef, chords) for clef in candidates):
        return [(start, chords)]
    cuts = [start, *sorted(inside), bar.end]
    parts: list[tuple[int, Sequence[Chord]]] = []
    for low, high in pairwise(cuts):
        part = [c for c in chords if low <= c.onset < high]
        if part:
            parts.append((min(c.onset for c in part), part))
    return parts


def _after_rests(chords: Sequence[Chord]) -> set[int]:
    """The ticks at which a staff goes on after a rest of all its voices."""
    found: set[int] = set()
    end = min((chord.onset for chord in chords), default=0)
    for chord in sorted(chords, key=lambda c: c.onset):
        if chord.onset > end:
            found.add(chord.onset)
        end = max(end, chord.end)
    return found


def _wanted(chords: Sequence[Chord], written: Clef, current: Clef | None, home: Clef) -> Clef:
    if not chords:
        return current or home
    coming_home = current is not None and _alike(written, home) and _fits(home, chords)
    likely = [home] if coming_home else []
    likely += [c for c in (current or written, written, home) if _fits(c, chords)]
    likely += [written] if _distance(written, chords) <= FAR else []
    plain = (written, Clef(written.staff, 0, "G", 2), Clef(written.staff, 0, "F", 4))
    return likely[0] if likely else min(plain, key=lambda c: _distance(c, chords))


def _alike(one: Clef, other: Clef) -> bool:
    return (one.sign, one.line, one.octaves) == (other.sign, other.line, other.octaves)


def _steps(clef: Clef, chords: Sequence[Chord]) -> list[int]:
    """How far each head lies from the middle line, in steps."""
    middle = _MIDDLE[clef.sign] + 7 * clef.octaves + 2 * (_LINE[clef.sign] - clef.line)
    return [abs(head.pitch.diatonic - middle) for chord in chords for head in chord.heads]


def _fits(clef: Clef, chords: Sequence[Chord]) -> bool:
    return max(_steps(clef, chords)) <= LIMIT


def _distance(clef: Clef, chords: Sequence[Chord]) -> float:
    steps = _steps(clef, chords)
    return sum(steps) / len(steps)
