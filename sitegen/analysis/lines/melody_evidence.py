"""Every note that could be the melody's, with what speaks for and against it: the top notes of all voices.

The highest note is heard best (Uitdenbogerd & Zobel, "Manipulation of music for melody matching", ACM Multimedia 1998),
but one that is held fades, and a figure hides little of what sings below it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from sitegen.analysis.lines.melody_voices import Rows, listen, rows_of, separate
from sitegen.analysis.lines.melody_weights import FADE, HIDES_LESS, HIDES_LESS_NEAR
from sitegen.score import Note, Score
from sitegen.score.metre import beat_ticks

_OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Candidate:
    """A note that may be the melody's, of the ``voice`` so numbered, and how many ``beats`` it sounds there.

    From 0 to 1: ``cover`` is how far notes above hide it, ``figure`` how far it is one of a figure, ``steps`` how far
    its voice moves by step. ``bass``: nothing but its own octaves sounds below it, and other notes above;
    ``accompanies``: it is one of the chords of an accompaniment; ``shared``: one note sounds at a time, and both hands
    play in turn.
    """

    note: Note
    voice: int
    beats: float
    cover: float
    figure: float
    steps: float
    bass: bool
    accompanies: bool
    shared: bool


def gather_candidates(score: Score, notes: Sequence[Note], accompanies: Callable[[Note], bool]) -> list[Candidate]:
    """The candidates among ``notes``, in order of onset and from low to high."""
    rows = rows_of(notes)
    voices = [listen(score, line) for line in separate(rows, score.ticks_per_quarter)]
    places = {note.id: (number, i) for number, voice in enumerate(voices) for i, note in enumerate(voice.notes)}
    background = {n.id: share for voice in voices for n, share in zip(voice.notes, voice.figure, strict=True)}
    chords = {note.id for note in notes if accompanies(note)}
    background.update(dict.fromkeys(chords, 1.0))
    shared = _lines_of_both_hands(rows)
    found: list[Candidate] = []
    active: list[Note] = []
    for row, (onset, struck) in enumerate(rows):
        beat = beat_ticks(score, onset)
        active = [note for note in active if note.end > onset] + struck
        for note in struck:
            if note.id not in places:
                continue
            number, i = places[note.id]
            voice = voices[number]
            until = min(note.end, voice.notes[i + 1].onset) if i + 1 < len(voice.notes) else note.end
            above = [other for other in active if other.midi > note.midi]
            lowest = all((note.midi - n.midi) % _OCTAVE == 0 for n in active if n.midi < note.midi)
            later = _covered_later(note, rows, row, background)
            found.append(
                Candidate(
                    note=note,
                    voice=number,
                    beats=(until - onset) / beat,
                    cover=max(_cover(note, above, background, beat), later),
                    figure=voice.figure[i],
                    steps=voice.steps[i],
                    bass=lowest and bool(above or later),
                    accompanies=note.id in chords,
                    shared=note.id in shared,
                )
            )
    return found


def _cover(note: Note, above: Sequence[Note], background: Mapping[str, float], beat: int) -> float:
    """How far the notes ``above`` hide ``note`` as it begins: fully when struck with it, less the longer they are held.

    A figure is hidden for as long as they are.
    """
    most = 0.0
    for other in above:
        fresh = 1 - (note.onset - other.onset) / beat / FADE
        most = max(most, max(fresh, background.get(note.id, 0.0)) * _hiding(other, note, background))
    return most


def _covered_later(note: Note, rows: Rows, row: int, background: Mapping[str, float]) -> float:
    """How far notes that are struck above ``note`` while it sounds hide it: the share of its time, at most."""
    covered = 0.0
    for place in range(row + 1, len(rows)):
        onset, struck = rows[place]
        if onset >= note.end:
            break
        top = struck[-1]
        if top.midi > note.midi:
            following = rows[place + 1][0] if place + 1 < len(rows) else top.end
            covered += (min(note.end, following, top.end) - onset) * _hiding(top, note, background)
    return covered / note.duration if covered else 0.0


def _hiding(other: Note, note: Note, background: Mapping[str, float]) -> float:
    less = HIDES_LESS if other.home_staff != note.home_staff else HIDES_LESS_NEAR
    return 1 - less * background.get(other.id, 0.0)


def _lines_of_both_hands(rows: Rows) -> set[str]:
    """The notes of stretches in which one note sounds at a time, without a rest, struck by both hands in turn."""
    found: set[str] = set()
    run: list[Note] = []
    reach = 0  # the tick until which anything sounds
    for row, (onset, struck) in enumerate(rows):
        alone = len(struck) == 1 and reach <= onset and (row + 1 == len(rows) or struck[0].end <= rows[row + 1][0])
        if not (alone and reach == onset):
            found |= _of_both_hands(run)
            run = []
        if alone:
            run.append(struck[0])
        reach = max(reach, *(note.end for note in struck))
    return found | _of_both_hands(run)


def _of_both_hands(run: Sequence[Note]) -> set[str]:
    return {note.id for note in run} if len({note.home_staff for note in run}) > 1 else set()
