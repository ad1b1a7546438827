"""The voices of a score as lines of their top notes, and how far each is a figure or moves by step.

A figure is known by its return: the same rhythm and contour again in its place, some notes, a beat, two beats or a bar
away (Schoenberg, Fundamentals of Musical Composition, 1967, ch. 9, on accompaniment). A motif of a tune that returns
does so on other notes, or moves by step; a figure leaps, or goes to and fro between the same notes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from sitegen.analysis.lines.melody_weights import DOUBT, USUAL_STEPS
from sitegen.score import Note, Score
from sitegen.score.metre import beat_ticks

STEP = 2  # semitones: the most that a step moves, and that a figure's note moves with the harmony
TURNS = (2, 3, 4)  # notes after which a figure may begin again, beside a beat, two and a bar
OCTAVE = 12
MOVED = 0.5  # what a return counts that is not on the same pitch
TUNE_PACE = 0.6  # attacks a beat; a slower voice that moves by step may be the bass of its harmonies
FIGURE_RATE = {"left": 0.9, "right": 1.9}  # attacks a beat; quarters of a right hand that outline a chord are a tune

Rows = Sequence[tuple[int, list[Note]]]


@dataclass(frozen=True, slots=True)
class MeasuredVoice:
    """The top notes of a voice in order, and around each the share, 0 to 1, of a ``figure`` and of ``steps``."""

    notes: tuple[Note, ...]
    figure: tuple[float, ...]
    steps: tuple[float, ...]


def rows_of(notes: Sequence[Note]) -> Rows:
    """The notes by onset, in order; at each onset they keep their order."""
    struck: dict[int, list[Note]] = {}
    for note in notes:
        struck.setdefault(note.onset, []).append(note)
    return sorted(struck.items())


def separate(rows: Rows, lately: int) -> list[tuple[Note, ...]]:
    """The voices as lines of their top notes; what overlaps in a printed voice is several.

    A note goes on with a line that ended no more than ``lately`` ticks before, or else with the one that ended last; of
    several with one whose last note has its value, and is nearest to it.
    """
    lines: dict[int, list[list[Note]]] = {}
    for onset, struck in rows:
        chords: dict[tuple[int, int], Note] = {}
        for note in struck:  # from low to high: the top note stays
            chords[note.voice, note.end] = note
        for (voice, _), note in sorted(chords.items(), key=lambda chord: (-chord[1].midi, chord[0])):
            own = lines.setdefault(voice, [])
            free = [line for line in own if line[-1].end <= onset and line[-1].onset < onset]
            if free:
                best = min(free, key=lambda line: (-min(line[-1].end, onset - lately), _break(line[-1], note)))
                best.append(note)
            else:
                own.append([note])
    return [tuple(line) for voice in sorted(lines) for line in lines[voice]]


def _break(last: Note, note: Note) -> tuple[bool, int]:
    """How far a line breaks that goes from ``last`` to ``note``: out of its value, and by how many semitones."""
    return last.duration != note.duration, abs(last.midi - note.midi)


def listen(score: Score, notes: tuple[Note, ...]) -> MeasuredVoice:
    """The voice of ``notes``, one an onset, heard half a bar to either side of each."""
    onsets = [note.onset for note in notes]
    moves = [b.midi - a.midi for a, b in pairwise(notes)] + [0]
    gaps = [b - a for a, b in pairwise(onsets)] + [0]
    beats = {note.bar: beat_ticks(score, note.onset) for note in notes}
    steps = [float(0 < abs(move) <= STEP) for move in moves]
    leaps = [float(abs(move) > STEP) for move in moves]
    returns, drones = _returns(score, notes, moves, gaps, beats)
    sums = [(0.0, *accumulate(values)) for values in (returns, drones, steps, leaps)]
    figure: list[float] = []
    stepwise: list[float] = []
    for note in notes:
        bar = score.bars[note.bar].length
        first, after = bisect_left(onsets, note.onset - bar // 2), bisect_right(onsets, note.onset + bar // 2)
        count = after - first
        returning, droning, stepping, leaping = (s[after] - s[first] for s in sums)
        figure.append(max(droning, returning * min(1.0, 2 * (1 - stepping / count))) / count)
        share = (stepping + DOUBT * USUAL_STEPS) / (stepping + leaping + DOUBT)
        attacks = bisect_left(onsets, note.onset + bar) - bisect_left(onsets, note.onset - bar)
        moving = attacks * beats[note.bar] >= TUNE_PACE * 2 * bar
        stepwise.append(share if moving else min(share, USUAL_STEPS))
    return MeasuredVoice(notes, tuple(figure), tuple(stepwise))


def _returns(
    score: Score, notes: Sequence[Note], moves: Sequence[int], gaps: Sequence[int], beats: dict[int, int]
) -> tuple[list[float], list[float]]:
    """For each note how far it comes back in its place before or after, and whether exactly both before and after.

    It comes back with its value and its way to the next note. Slow notes on a beat are no figure.
    """
    at = {note.onset: i for i, note in enumerate(notes)}
    returns, drones = [0.0] * len(notes), [0.0] * len(notes)
    for i, note in enumerate(notes):
        beat, bar, gap, move = beats[note.bar], score.bars[note.bar], gaps[i], moves[i]
        slow = gap * FIGURE_RATE[score.hand_of(note.home_staff) or "right"] > beat
        if not gap or (slow and (bar.lead + note.onset - bar.onset) % beat == 0):
            continue
        for lag in {beat, 2 * beat, bar.length, *(gap * turn for turn in TURNS)}:
            exact = 0
            for j in (at.get(note.onset - lag), at.get(note.onset + lag)):
                if j is not None and gaps[j] == gap and (moves[j] * move > 0 or moves[j] == move == 0):
                    moved = abs(notes[j].midi - note.midi) % OCTAVE  # an arpeggio goes on through the octaves
                    if moved <= STEP:
                        returns[i] = max(returns[i], MOVED if moved else 1.0)
                        exact += not moved
            if exact == 2:
                drones[i] = 1.0
    return returns, drones
