"""Every note that could be the melody's, with what speaks for and against it: the top notes of all voices.

A figure is known by its return: the same rhythm and contour, a beat, two beats or a bar away and in the same place,
in even notes that leap (Schoenberg, Fundamentals of Musical Composition, 1967, ch. 9, on accompaniment).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from sitegen.analysis.melody_weights import DOUBT, FADE, HIDES_LESS, HIDES_LESS_NEAR, USUAL_STEPS
from sitegen.analysis.metre import beat_ticks
from sitegen.score import Note, Score

IN_PLACE = 2  # semitones by which a figure's note may move with the harmony
TURNS = (2, 3, 4)  # notes after which a figure may begin again, beside a beat, two and a bar
MOVED = 0.5  # what a return counts that is not on the same pitch
TUNE_PACE = 0.6  # attacks a beat; a slower voice that moves by step may be the bass of its harmonies
FIGURE_RATE = {"left": 0.9, "right": 1.9}  # attacks a beat; quarters of a right hand that outline a chord are a tune


@dataclass(frozen=True, slots=True)
class Candidate:
    """A note that may be the melody's, of the ``voice`` so numbered. ``beats`` is how long it sounds in it; the shares are from 0 to 1:

    ``cover`` how far notes above hide it, ``figure`` how far it is one of a figure, ``steps`` how far its voice moves
    by step around it; ``bass`` is whether only its own octaves sound below it, and other notes above, ``chord`` whether
    its hand strikes other notes below it; ``shared`` is whether it is one of a line that both hands play in turn.
    """

    note: Note
    voice: int
    beats: float
    cover: float
    figure: float
    steps: float
    bass: bool
    accompanies: bool
    chord: bool
    shared: bool


@dataclass(frozen=True, slots=True)
class _Voice:
    """The top notes of a voice in order, with the share of ``figure`` and of ``steps`` around each."""

    notes: tuple[Note, ...]
    figure: tuple[float, ...]
    steps: tuple[float, ...]


def gather_candidates(score: Score, notes: Sequence[Note], accompanies: Callable[[Note], bool]) -> list[Candidate]:
    """The candidates among ``notes``, in order of onset and from low to high."""
    voices = [_listen(score, top) for top in separate(notes, score.ticks_per_quarter)]
    of_note = {n.id: (number, i) for number, v in enumerate(voices) for i, n in enumerate(v.notes)}
    figure = {n.id: f for v in voices for n, f in zip(v.notes, v.figure, strict=True)}
    chords = {n.id for n in notes if accompanies(n)}
    background = {**figure, **dict.fromkeys(chords, 1.0)}
    shared = _shared_lines(notes)
    found: list[Candidate] = []
    active: list[Note] = []
    rows = _by_onset(notes)
    for row, (onset, struck) in enumerate(rows):
        beat = beat_ticks(score, onset)
        active = [n for n in active if n.end > onset] + struck
        for note in struck:
            if note.id not in of_note:
                continue
            number, i = of_note[note.id]
            voice = voices[number]
            until = min(note.end, voice.notes[i + 1].onset) if i + 1 < len(voice.notes) else note.end
            later = _covered_later(note, rows, row, background)
            below = [n for n in active if n.midi < note.midi]
            found.append(
                Candidate(
                    note=note,
                    voice=number,
                    beats=(until - onset) / beat,
                    cover=max(_cover(note, active, background, beat), later),
                    figure=voice.figure[i],
                    steps=voice.steps[i],
                    bass=all((note.midi - n.midi) % 12 == 0 for n in below)
                    and (later > 0 or any(n.midi > note.midi for n in active)),
                    accompanies=note.id in chords,
                    chord=any(
                        n.onset == onset and n.home_staff == note.home_staff and (note.midi - n.midi) % 12
                        for n in below
                    ),
                    shared=note.id in shared,
                )
            )
    return found


def separate(notes: Sequence[Note], lately: int) -> list[tuple[Note, ...]]:
    """The voices as lines of their top notes: what overlaps in a printed voice is several.

    A note goes on with a line that has ended no more than ``lately`` ticks before, or else with the one that ended last;
    of several with one that has its value, and is nearest to it.
    """
    lines: dict[int, list[list[Note]]] = {}
    for _, struck in _by_onset(notes):
        chords: dict[tuple[int, int], Note] = {}
        for note in struck:  # from low to high: the top note stays
            chords[note.voice, note.end] = note
        taken: list[list[Note]] = []
        for (voice, _), note in sorted(chords.items(), key=lambda c: (-c[1].midi, c[0])):
            own = lines.setdefault(voice, [])
            late = note.onset - lately
            free = [line for line in own if line[-1].end <= note.onset and line not in taken]
            line = min(free, key=lambda one: (-min(one[-1].end, late), _break(one[-1], note)), default=None)
            if line is None:
                line = []
                own.append(line)
            line.append(note)
            taken.append(line)
    return [tuple(line) for voice in sorted(lines) for line in lines[voice]]


def _break(last: Note, note: Note) -> tuple[bool, int]:
    """How far a line breaks that goes from ``last`` to ``note``: out of its value, and by how many semitones."""
    return last.duration != note.duration, abs(last.midi - note.midi)


def _by_onset(notes: Sequence[Note]) -> list[tuple[int, list[Note]]]:
    struck: dict[int, list[Note]] = {}
    for note in notes:
        struck.setdefault(note.onset, []).append(note)
    return sorted(struck.items())


def _cover(note: Note, active: Sequence[Note], background: Mapping[str, float], beat: int) -> float:
    """How far the notes above hide ``note``: fully when struck with it, less the longer they are held.

    A figure is hidden for as long as they are.
    """
    most = 0.0
    for other in active:
        if other.midi > note.midi:
            fresh = 1 - (note.onset - other.onset) / beat / FADE
            most = max(most, max(fresh, background.get(note.id, 0.0)) * _hiding(other, note, background))
    return most


def _covered_later(
    note: Note, rows: Sequence[tuple[int, list[Note]]], row: int, background: Mapping[str, float]
) -> float:
    """How far notes that are struck above ``note`` while it sounds hide it: the share of its time, at most."""
    covered = 0.0
    for at in range(row + 1, len(rows)):
        onset, struck = rows[at]
        if onset >= note.end:
            break
        top = struck[-1]
        if top.midi > note.midi:
            until = min(note.end, rows[at + 1][0] if at + 1 < len(rows) else top.end, top.end)
            covered += (until - onset) * _hiding(top, note, background)
    return covered / note.duration if covered else 0.0


def _hiding(other: Note, note: Note, background: Mapping[str, float]) -> float:
    less = HIDES_LESS if other.home_staff != note.home_staff else HIDES_LESS_NEAR
    return 1 - less * background.get(other.id, 0.0)


def _listen(score: Score, notes: tuple[Note, ...]) -> _Voice:
    onsets = [n.onset for n in notes]
    moves = [b.midi - a.midi for a, b in pairwise(notes)]
    moves.append(0)
    gaps = [b - a for a, b in pairwise(onsets)]
    gaps.append(0)
    stepwise = [float(0 < abs(m) <= 2) for m in moves]
    leaping = [float(abs(m) > 2) for m in moves]
    returns, drone = _returns(score, notes, moves, gaps)
    sums = [(0.0, *accumulate(values)) for values in (returns, drone, stepwise, leaping)]
    figure, steps = [], []
    for note in notes:
        half = score.bars[note.bar].length // 2
        first, after = bisect_left(onsets, note.onset - half), bisect_right(onsets, note.onset + half)
        count = after - first
        returning, droning, stepping, leaps = (s[after] - s[first] for s in sums)
        figure.append(max(droning, returning * min(1.0, 2 * (1 - stepping / count))) / count)
        share = (stepping + DOUBT * USUAL_STEPS) / (stepping + leaps + DOUBT)
        attacks = bisect_left(onsets, note.onset + 2 * half) - bisect_left(onsets, note.onset - 2 * half)
        moving = attacks * beat_ticks(score, note.onset) >= TUNE_PACE * 4 * half
        steps.append(share if moving else min(share, USUAL_STEPS))
    return _Voice(notes, tuple(figure), tuple(steps))


def _returns(
    score: Score, notes: Sequence[Note], moves: Sequence[int], gaps: Sequence[int]
) -> tuple[list[float], list[float]]:
    """How far each note comes back in its place before or after, and whether it is heard there both before and after."""
    at = {note.onset: i for i, note in enumerate(notes)}
    returns, drone = [0.0] * len(notes), [0.0] * len(notes)
    for i, note in enumerate(notes):
        beat = beat_ticks(score, note.onset)
        on_beat = score.place_in_metre(note.onset) % beat == 0
        rate = FIGURE_RATE[score.hand_of(note.home_staff) or "right"]
        if not gaps[i] or (on_beat and gaps[i] * rate > beat):
            continue
        lags = {beat, 2 * beat, score.bars[note.bar].length, *(gaps[i] * turn for turn in TURNS)}
        for lag in sorted(lags):
            exact = 0
            for j in (at.get(note.onset - lag), at.get(note.onset + lag)):
                if j is None or gaps[j] != gaps[i] or abs(notes[j].midi - note.midi) > IN_PLACE:
                    continue
                if moves[i] * moves[j] > 0 or moves[i] == moves[j] == 0:
                    same = notes[j].midi == note.midi
                    returns[i] = max(returns[i], 1.0 if same else MOVED)
                    exact += same
            drone[i] = max(drone[i], float(exact == 2))
    return returns, drone


def _shared_lines(notes: Sequence[Note]) -> set[str]:
    """The notes of stretches in which one note sounds at a time, struck by both hands in turn."""
    found: set[str] = set()
    run: list[Note] = []
    reach = 0  # the tick until which anything sounds
    rows = _by_onset(notes)
    for row, (onset, struck) in enumerate(rows):
        following = rows[row + 1][0] if row + 1 < len(rows) else None
        alone = len(struck) == 1 and reach <= onset and (following is None or struck[0].end <= following)
        if run and not (alone and reach == onset):
            found.update(_of_both_hands(run))
            run = []
        if alone:
            run.append(struck[0])
        reach = max(reach, *(note.end for note in struck))
    return found | _of_both_hands(run)


def _of_both_hands(run: Sequence[Note]) -> set[str]:
    return {note.id for note in run} if len({note.home_staff for note in run}) > 1 else set()
