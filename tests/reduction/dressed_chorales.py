"""Chorales of music21's corpus dressed in keyboard figures, with what was dressed: the skeleton to be found.

Each beat of a chorale on which its voices form a triad or a seventh chord becomes a half bar (``SPAN`` quarters).
Left hand: bass and tenor; right hand: alto and soprano. A tenor out of the left hand's reach goes to the right.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from sitegen.score.hand_spans import MEDIUM_HAND
from tests.notation import score_of

CHORALES = ("bwv256", "bwv267", "bwv283", "bwv302", "bwv328", "bwv353")
SPAN = 2  # quarters
COUNT = 12  # harmonies of each, an even number, so that bars are full


@dataclass(frozen=True)
class Chord:
    """Names of the four voices, as in ``F#4``, with their MIDI numbers; and the step above the soprano."""

    soprano: str
    alto: str
    tenor: str
    bass: str
    midi: tuple[int, int, int, int]
    above: str


@dataclass(frozen=True)
class Truth:
    """The notes (onset in quarters, MIDI) of the bass, of the blocks under the soprano, of the tune, which is the
    soprano, and of the tune with what leans on it."""

    bass: frozenset[tuple[int, int]]
    blocks: frozenset[tuple[int, int]]
    tune: frozenset[tuple[int, int]]
    leaning: frozenset[tuple[int, int]]


@cache
def chords_of(name: str) -> tuple[Chord, ...]:
    """The first ``COUNT`` chords that two hands can hold, none like the one before it."""
    warnings.filterwarnings("ignore")
    from music21 import chord, corpus

    work = corpus.parse(f"bach/{name}")
    parts = [part.flatten().notes for part in list(work.parts)[:4]]
    key = work.analyze("key")
    found: list[Chord] = []
    for tick in range(int(work.highestTime)):
        voices = [next((n for n in p if n.offset <= tick < n.offset + n.quarterLength), None) for p in parts]
        if any(voice is None for voice in voices):
            continue
        pitches = [voice.pitch for voice in voices]
        midi = tuple(p.midi for p in pitches)
        here = chord.Chord(pitches)
        if not (here.isTriad() or here.isSeventh()) or len(set(midi)) < 4 or list(midi) != sorted(midi, reverse=True):
            continue
        if midi[0] - midi[1] > 9 or midi[2] - midi[3] > 12 or (found and found[-1].midi == midi):
            continue
        above = key.getScale().nextPitch(pitches[0], stepSize=1)
        names = [p.nameWithOctave.replace("-", "b") for p in (*pitches, above)]
        found.append(Chord(*names[:4], midi, names[4]))
        if len(found) == COUNT:
            break
    return tuple(found)


Dress = Callable[[Chord], tuple[str, str]]


def alberti(chord: Chord) -> tuple[str, str]:
    """The soprano over bass, alto and tenor in turn: lowest, highest, middle, highest."""
    low, middle, high = chord.bass, chord.tenor, chord.alto
    return f"{chord.soprano}h", " ".join(f"{name}e" for name in (low, high, middle, high))


def bass_and_chord(chord: Chord) -> tuple[str, str]:
    """The soprano over the bass, then tenor and alto together."""
    return f"{chord.soprano}h", f"{chord.bass}q {chord.tenor}+{chord.alto}q"


def shared(chord: Chord) -> tuple[str, str]:
    """A figure of both hands: bass and tenor, both held, then the right hand's two in turn after a short rest."""
    turns = " ".join(f"{name}s" for name in (chord.alto, chord.soprano) * 3)
    return f"re {turns}", f"{chord.bass}h ; re {chord.tenor}q."


def triplets(chord: Chord) -> tuple[str, str]:
    """The soprano over bass, tenor and alto in triplets."""
    turn = " ".join(f"{name}e3" for name in (chord.bass, chord.tenor, chord.alto))
    return f"{chord.soprano}h", f"{turn} {turn}"


def leaning(chord: Chord) -> tuple[str, str]:
    """The Alberti bass, and above it the soprano with the step above leaning on it."""
    return f"{chord.above}q {chord.soprano}q", alberti(chord)[1]


DRESSES: dict[str, Dress] = {
    "alberti": alberti,
    "bass and chord": bass_and_chord,
    "shared": shared,
    "triplets": triplets,
    "leaning": leaning,
}


def dressed(name: str, dress: str):
    """The score of a chorale in a dress, and what was dressed."""
    chords = chords_of(name)
    right, left = zip(*map(DRESSES[dress], chords), strict=True)
    voices = zip(*(part.split(" ; ") for part in left), strict=True)
    score = score_of(right=" ".join(right), left=" ; ".join(" ".join(voice) for voice in voices))
    places = [(SPAN * k, chord) for k, chord in enumerate(chords)]
    bass = frozenset((at, c.midi[3]) for at, c in places)
    # a chord too far from its bass is struck after it
    apart = {at: dress == "bass and chord" and c.midi[1] - c.midi[3] > MEDIUM_HAND for at, c in places}
    blocks = frozenset((at + apart[at], midi) for at, c in places for midi in c.midi[:3][1:]) | bass
    tune = frozenset((at, c.midi[0]) for at, c in places)
    above = frozenset((n.onset // score.ticks_per_quarter, n.midi) for n in score.notes if n.staff == 1)
    return score, Truth(bass, blocks, tune, above)
