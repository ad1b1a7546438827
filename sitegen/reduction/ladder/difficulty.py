"""How difficult a stage is: a figure summed from named parts, each a rate a second at the piece's tempo.

The parts are those that studies of piano difficulty agree on: playing speed, the work of the hands together, hand
stretch, displacement, and altered keys (Sébastien, Ralambondrainy, Sébastien and Conruyt, "Score analyzer:
automatically determining scores difficulty level for instrumental e-learning", ISMIR 2012). The weights are ours:
they put an easy five-finger piece near 2 and a concert study near 30.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from itertools import groupby, pairwise
from operator import attrgetter

from sitegen.fifths import signature_alter
from sitegen.reduction.hands import HANDS, staves_of
from sitegen.reduction.nouns import Difficulty, Stage, StageNote
from sitegen.score import Score, starting_tempo

WEIGHTS = {"notes a second": 1.0, "hands together": 1.0, "stretches": 0.5, "leaps": 0.5, "accidentals": 0.5}
COMFORTABLE = 8  # semitones that a hand spans without effort; what is beyond counts as stretch or leap


def difficulty(score: Score, notes: Sequence[StageNote]) -> Difficulty:
    """The difficulty of a stage of ``score``; a rest and an empty stage are 0. All parts are a second of music."""
    seconds = score.end / score.ticks_per_quarter * 60 / starting_tempo(score)
    if not notes or not seconds:
        return Difficulty(0.0, tuple((name, 0.0) for name in WEIGHTS))
    hands = [_chords(notes, staves_of(score, hand)) for hand in HANDS]
    struck: dict[int, set[int]] = defaultdict(set)
    for note in notes:
        struck[note.onset].add(note.staff)
    counts = {
        "notes a second": float(len(notes)),
        "hands together": float(sum(len(staves) > 1 for staves in struck.values())),
        "stretches": sum(wide for chords in hands for wide in _stretches(chords)),
        "leaps": sum(wide for chords in hands for wide in _leaps(chords)),
        "accidentals": float(sum(_is_altered(score, note) for note in notes)),
    }
    parts = tuple((name, round(counts[name] * weight / seconds, 3)) for name, weight in WEIGHTS.items())
    return Difficulty(round(sum(value for _, value in parts), 3), parts)


def not_rising(stages: Sequence[Stage]) -> list[tuple[Stage, Stage]]:
    """The pairs of neighbours on the ladder of which the second is not more difficult than the first."""
    ladder = [stage for stage in stages if not stage.side_study]
    return [(one, other) for one, other in pairwise(ladder) if other.difficulty.value <= one.difficulty.value]


def _chords(notes: Sequence[StageNote], staves: Collection[int]) -> list[tuple[int, int]]:
    """The lowest and the highest of what one hand strikes together, in order."""
    mine = [n for n in notes if not n.grace and n.staff in staves]
    struck = ([n.midi for n in chord] for _, chord in groupby(mine, key=attrgetter("onset")))
    return [(min(midis), max(midis)) for midis in struck]


def _stretches(chords: Sequence[tuple[int, int]]) -> list[float]:
    """For every chord of a hand what it is wider than comfortable, in octaves."""
    return [max(0, high - low - COMFORTABLE) / 12 for low, high in chords]


def _leaps(chords: Sequence[tuple[int, int]]) -> list[float]:
    """For every move of a hand from one chord to the next what it is wider than comfortable, in octaves."""
    centres = [(low + high) / 2 for low, high in chords]
    return [max(0.0, abs(middle - centre) - COMFORTABLE) / 12 for centre, middle in pairwise(centres)]


def _is_altered(score: Score, note: StageNote) -> bool:
    """Whether a note has another sign than the key signature gives it."""
    return note.pitch.alter != signature_alter(note.pitch.step, score.bar_at(note.onset).fifths)
