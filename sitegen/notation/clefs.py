"""Which clef each staff has in each bar: the score's own, unless the stage's notes would hang far off the staff."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.notation.voices import Chord
from sitegen.score import Clef, Score

_MIDDLE = {"G": 34, "F": 22, "C": 28}  # diatonic number of the middle line: B4, D3, C4
_LINE = {"G": 2, "F": 4, "C": 3}
LIMIT = 8  # steps from the middle line on average: more than two ledger lines


def choose_clefs(score: Score, staff: int, bars: Sequence[Sequence[Chord]]) -> list[Clef | None]:
    """For each bar the clef that begins there, or None where the last one goes on."""
    own = sorted((c for c in score.clefs if c.staff == staff), key=lambda c: c.onset)
    default = Clef(staff, 0, "F", 4) if score.hand_of(staff) == "left" else Clef(staff, 0, "G", 2)
    chosen: list[Clef | None] = []
    current: Clef | None = None
    for bar, chords in zip(score.bars, bars, strict=True):
        at = min((c.onset for c in chords), default=bar.onset)
        written = next((c for c in reversed(own) if c.onset <= at), default)
        wanted = _fitting(written, current, chords) if chords else (current or written)
        if current is None or (wanted.sign, wanted.line, wanted.octaves) != (
            current.sign,
            current.line,
            current.octaves,
        ):
            chosen.append(wanted)
            current = wanted
        else:
            chosen.append(None)
    return chosen


def _distance(clef: Clef, chords: Sequence[Chord]) -> float:
    middle = _MIDDLE[clef.sign] + 7 * clef.octaves + 2 * (_LINE[clef.sign] - clef.line)
    steps = [abs(head.pitch.diatonic - middle) for chord in chords for head in chord.heads]
    return sum(steps) / len(steps)


def _fitting(written: Clef, current: Clef | None, chords: Sequence[Chord]) -> Clef:
    if _distance(written, chords) <= LIMIT:
        return written
    if current is not None and _distance(current, chords) <= LIMIT:
        return current
    plain = (written, Clef(written.staff, written.onset, "G", 2), Clef(written.staff, written.onset, "F", 4))
    return min(plain, key=lambda clef: _distance(clef, chords))
