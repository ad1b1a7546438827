"""Which clef each staff has: the score's own where the stage needs it, and no more changes than its notes ask for.

A clef that is in force stays while nothing lies further than two ledger lines off the staff. Where that is not so the
score's own clef comes, at the bar line or where the score has it, and may have more ledger lines; where the notes lie
far off it too, the plain clef that lies nearest.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sitegen.notation.voices import Chord
from sitegen.score import Bar, Clef, Score

_MIDDLE = {"G": 34, "F": 22, "C": 28}  # diatonic number of the middle line: B4, D3, C4
_LINE = {"G": 2, "F": 4, "C": 3}
LIMIT = 8  # steps from the middle line: two ledger lines
FAR = 10  # for the score's own clef, on average: three

Changes = list[tuple[int, Clef]]


def choose_clefs(score: Score, staff: int, bars: Sequence[Sequence[Chord]]) -> list[Changes]:
    """For each bar the clefs that begin in it, with the tick at which they do; the first bar always has one."""
    own = sorted((c for c in score.clefs if c.staff == staff), key=lambda c: c.onset)
    default = Clef(staff, 0, "F", 4) if score.hand_of(staff) == "left" else Clef(staff, 0, "G", 2)
    home = own[0] if own and own[0].onset == 0 else default
    current: Clef | None = None
    chosen: list[Changes] = []
    for bar, chords in zip(score.bars, bars, strict=True):
        changes: Changes = []
        for place, (start, part) in enumerate(_parts(bar, chords, own, current, home)):
            written = next((c for c in reversed(own) if part and c.onset <= start), home)
            wanted = _wanted(part, written, current, home)
            if current is None or not _alike(current, wanted):
                changes.append((start if place else bar.onset, wanted))
                current = wanted
        chosen.append(changes)
    return chosen


def _parts(
    bar: Bar, chords: Sequence[Chord], own: Sequence[Clef], current: Clef | None, home: Clef
) -> list[tuple[int, Sequence[Chord]]]:
    """The chords of a bar, cut where the score changes its clef, if no clef fits them all."""
    start = min((c.onset for c in chords), default=bar.onset)
    candidates = [c for c in (current, home, *own) if c is not None]
    if not chords or any(_fits(clef, chords) for clef in candidates) or not any(start < c.onset < bar.end for c in own):
        return [(start, chords)]
    cuts = [start, *sorted({c.onset for c in own if start < c.onset < bar.end}), bar.end]
    parts: list[tuple[int, Sequence[Chord]]] = []
    for low, high in pairwise(cuts):
        part = [c for c in chords if low <= c.onset < high]
        if part:
            parts.append((min(c.onset for c in part), part))
    return parts


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
