"""Which notes carry the tune, and which accompany: the part of a note in the texture, as the techniques use it.

The lines of the analysis decide where it gives any. Where it says nothing the melody is the skyline of the highest
staff: those notes above which nothing of the same staff sounds (Uitdenbogerd and Zobel, "Manipulation of music for
melody matching", ACM Multimedia 1998).

The top notes of a plain figure (a broken chord, an arpeggio) are a line of the analysis, and part of the figure all the
same: only those are sung above it that sound on over the figure's next notes, or that are printed in full size where
the figure is printed small.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import Literal

from sitegen.analysis.nouns import Analysis
from sitegen.score import Note, Score

Role = Literal["melody", "figure"]

FIGURES = frozenset({"broken chord", "arpeggio", "Alberti bass", "tremolo"})


def assign_roles(
    score: Score, analysis: Analysis, printed: Sequence[Note], ornaments: Collection[str], prominent: Collection[str]
) -> dict[str, Role]:
    """The role of every sounding note by its id: ``melody`` is one line, all others are ``figure``.

    ``printed`` are the sounding notes that are printed, ``ornaments`` and ``prominent`` ids of them (``print_size``).
    """
    given = any(reading.line == "melody" for reading in analysis.notes.values())
    tune = _melody_of(printed, analysis) if given else _skyline(printed)
    tune -= _inside_figures(score, printed, analysis, tune, prominent)
    tune -= _doublings_of_the_bass(score, printed, tune)
    tune -= _strays(score, printed, tune)
    tune |= _gaps(score, [note for note in printed if note.id not in ornaments], analysis, tune)
    return {note.id: "melody" if note.id in tune else "figure" for note in score.sounding()}


def _melody_of(printed: Sequence[Note], analysis: Analysis) -> set[str]:
    """The melody notes of the analysis, the highest of each onset only: an octave doubling is not a second tune."""
    top: dict[int, Note] = {}
    for note in printed:
        reading = analysis.notes.get(note.id)
        if reading is not None and reading.line == "melody":
            best = top.get(note.onset)
            if best is None or (note.midi, -note.staff) > (best.midi, -best.staff):
                top[note.onset] = note
    return {note.id for note in top.values()}


def _skyline(printed: Sequence[Note], staff: int = 1) -> set[str]:
    tune: set[str] = set()
    held: Note | None = None
    by_onset: dict[int, list[Note]] = {}
    for note in printed:
        if note.staff == staff:
            by_onset.setdefault(note.onset, []).append(note)
    for onset, notes in by_onset.items():
        highest = max(notes, key=lambda n: (n.midi, n.duration))
        if held is not None and held.end > onset and held.midi > highest.midi:
            continue
        tune.add(highest.id)
        held = highest
    return tune


def _inside_figures(
    score: Score, printed: Sequence[Note], analysis: Analysis, tune: set[str], prominent: Collection[str]
) -> set[str]:
    """The notes of ``tune`` that do not outlast the next note of the figure they stand in, nor stand out in print."""
    inside: set[str] = set()
    for staff in score.staves:
        stretches = [t for t in analysis.textures if t.staff == staff.number]
        notes = [note for note in printed if note.staff == staff.number]
        onsets = sorted({note.onset for note in notes})
        following = dict(pairwise([*onsets, score.end]))
        place = 0
        for note in notes:
            while place + 1 < len(stretches) and stretches[place].end <= note.onset:
                place += 1
            figured = bool(stretches) and stretches[place].kind in FIGURES
            if figured and note.id in tune and note.end <= following[note.onset] and note.id not in prominent:
                inside.add(note.id)
    return inside


def _doublings_of_the_bass(score: Score, printed: Sequence[Note], tune: set[str]) -> set[str]:
    """The notes of ``tune`` that are the upper note of an octave in the left hand."""
    struck = {(note.staff, note.onset, note.midi) for note in printed}
    return {
        note.id
        for note in printed
        if note.id in tune
        and score.hand_of(note.staff) == "left"
        and (note.staff, note.onset, note.midi - 12) in struck
    }


def _strays(score: Score, printed: Sequence[Note], tune: set[str]) -> set[str]:
    """What would take the tune to the left hand for one bar, and back: there it is the bass of a bar without one."""
    hands: dict[int, set[str | None]] = {}
    for note in printed:
        if note.id in tune:
            hands.setdefault(note.bar, set()).add(score.hand_of(note.staff))
    sung = sorted(hands)
    lonely = {
        bar
        for before, bar, after in zip(sung, sung[1:], sung[2:], strict=False)
        if hands[bar] == {"left"} and "right" in hands[before] and "right" in hands[after]
    }
    return {note.id for note in printed if note.id in tune and note.bar in lonely}


def _gaps(score: Score, plain: Sequence[Note], analysis: Analysis, tune: set[str]) -> set[str]:
    """The highest notes of the right hand in a bar between two that sing, where it plays no figure and no tune was
    found: a tune does not stop while its hand plays on. ``plain`` are the notes that are no ornaments."""
    staff = next((s.number for s in score.staves if s.hand == "right"), None)
    bars: dict[int, list[Note]] = {}
    for note in plain:
        if note.staff == staff:
            bars.setdefault(note.bar, []).append(note)
    singing = {bar for bar, notes in bars.items() if any(note.id in tune for note in notes)}
    figured = {
        bar.index
        for texture in analysis.textures
        if texture.staff == staff and texture.kind in FIGURES
        for bar in score.bars
        if bar.onset < texture.end and texture.onset < bar.end
    }
    found: set[str] = set()
    for bar in bars.keys() - singing - figured:
        if bar - 1 in singing and bar + 1 in singing:
            found |= _skyline(bars[bar], staff or 1)
    return found
