"""The melody as the best line through the notes: a path that gains by every note it takes, and pays for its turns.

The best path is found as in A. Viterbi, "Error bounds for convolutional codes" (1967). A line rests where nothing is
worth taking.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from itertools import groupby

from sitegen.analysis.lines import melody_weights as w
from sitegen.analysis.lines.melody_evidence import Candidate, gather_candidates
from sitegen.score import Note, Score
from sitegen.score.metre import beat_start

RECENT = 3  # candidates of each voice that are asked whether the line goes on from them, beside the best before them
FIGURED = 0.6  # share of a voice in a bar that is a figure, for the bar to count as one
FIFTH = 7  # semitones: a line goes on in another voice no further away without cost
LASTING = 12  # bars of a figure after which it is heard as one, unless it is most of the piece
SURE = 1e6
"""Stands for more than all else is worth together: a note that is the melody's in any case."""


def find_melody(
    score: Score, notes: Sequence[Note], accompanies: Callable[[Note], bool], sure: Collection[str] = ()
) -> list[Note]:
    """The melody among ``notes``, one at an onset, in order. ``accompanies`` tells notes of accompanying textures.
    ``sure`` are the ids of notes that it has in any case, each the only one of ``notes`` at its onset.

    A figure that goes on and on with no other tune is heard in its peaks. Where no note would be worth taking, the
    highest voice is the melody.
    """
    candidates = gather_candidates(score, notes, accompanies)
    path = _best_path(score, candidates, sure)
    if not path:
        path = [c for c in candidates if not c.cover]
    return _peaks_of_figures(score, candidates, path, sure)


def _best_path(score: Score, candidates: Sequence[Candidate], sure: Collection[str]) -> list[Candidate]:
    worth = [SURE if c.note.id in sure else worth_of(score, c) for c in candidates]
    total: list[float] = []
    before: list[int] = []
    recent: dict[int, list[int]] = {}
    for i, candidate in enumerate(candidates):
        best, source = 0.0, -1
        for ends in recent.values():
            for j in ends:
                if total[j] > best and candidates[j].note.onset < candidate.note.onset:
                    value = total[j] - turn(candidates[j], candidate)
                    if value > best:
                        best, source = value, j
        total.append(best + worth[i])
        before.append(source)
        ends = recent.setdefault(candidate.voice, [])
        ends.append(i)
        forget(ends, total)
    if not total or max(total) <= 0:
        return []
    path = [max(range(len(total)), key=total.__getitem__)]
    while before[path[-1]] >= 0:
        path.append(before[path[-1]])
    return [candidates[i] for i in reversed(path)]


def forget(ends: list[int], total: Sequence[float]) -> None:
    """Of so many ends of lines in a voice leave the last and the best of those before them."""
    if len(ends) > RECENT + 1:
        # the oldest makes room, unless no later one is as good
        ends.pop(1 if total[ends[0]] > total[ends[1]] else 0)


def _peaks_of_figures(
    score: Score, candidates: Sequence[Candidate], path: Sequence[Candidate], sure: Collection[str]
) -> list[Note]:
    """The notes of a path; of a figure that lasts, only the first highest of each beat (Piston, Counterpoint, 1947)."""
    lasting = _lasting_figures(score, candidates)
    peaks: dict[tuple[bool, int], Note] = {}
    for candidate in path:
        note = candidate.note
        figured = (
            candidate.figure >= FIGURED
            and note.id not in sure
            and (note.home_staff, note.bar, note.duration) in lasting
        )
        place = figured, beat_start(score, note.onset) if figured else note.onset
        if place not in peaks or note.midi > peaks[place].midi:
            peaks[place] = note
    return sorted(peaks.values(), key=lambda note: note.onset)


def _lasting_figures(score: Score, candidates: Sequence[Candidate]) -> set[tuple[int, int, int]]:
    """Where a hand plays a figure in notes of one value for ``LASTING`` bars on end, or for most of the piece.

    The staff, the bar and the value in ticks.
    """
    voices: dict[tuple[int, int], list[Candidate]] = {}
    for c in candidates:
        voices.setdefault((c.note.bar, c.voice), []).append(c)
    figured: dict[tuple[int, int], set[int]] = {}
    for (bar, _), voice in voices.items():
        if sum(c.figure for c in voice) >= FIGURED * len(voice):
            value, _ = Counter(c.note.duration for c in voice).most_common(1)[0]
            figured.setdefault((voice[0].note.home_staff, value), set()).add(bar)
    lasting: set[tuple[int, int, int]] = set()
    for (staff, value), bars in figured.items():
        most = 2 * len(bars) >= len(score.bars)
        for _, run in groupby(enumerate(sorted(bars)), key=lambda place: place[1] - place[0]):
            together = [(staff, bar, value) for _, bar in run]
            if most or len(together) >= LASTING:
                lasting.update(together)
    return lasting


def worth_of(score: Score, c: Candidate) -> float:
    rate = 1 - w.COVER * c.cover + w.STEPS * (c.steps - w.USUAL_STEPS)
    if not c.shared:
        rate -= w.FIGURE * c.figure + w.BASS * c.bass + w.ACCOMPANIMENT * c.accompanies
        rate -= w.LEFT * (score.hand_of(c.note.home_staff) == "left")
    return rate * c.beats


def turn(before: Candidate, after: Candidate) -> float:
    """What it costs the line to go from one note to another."""
    one, other = before.note, after.note
    over = one.end <= other.onset
    cost = 0.0 if over or one.midi < other.midi else w.LEFT_HELD
    if before.voice != after.voice and not (before.shared and after.shared):
        cost += (w.PASSED_ON if over else w.TURN) + w.LEAP * max(0, abs(other.midi - one.midi) - FIFTH)
    return cost
