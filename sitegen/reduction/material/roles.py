"""Which notes carry the tune, and which accompany: the part of a note in the texture, as the techniques use it.

The melody of the analysis decides where it gives any. Where it says nothing the melody is the skyline of the highest
staff: those notes above which nothing of the same staff sounds (Uitdenbogerd and Zobel, "Manipulation of music for
melody matching", ACM Multimedia 1998).

Where a hand plays nothing but a figure, the analysis hears its peaks as the melody; they are part of the figure all the
same: only those are sung above it that sound on over its next notes. Where the figure is printed small, those are sung
that are printed in full size. An arpeggio is one figure however far it climbs, and through both staves: it is sung
whole or not at all.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import groupby, pairwise
from typing import Literal

from sitegen.analysis import Analysis
from sitegen.analysis.texture import of_family
from sitegen.score import Note, Score

Role = Literal["melody", "figure"]

OCTAVES = frozenset({12, 24})  # semitones
FIGURES = of_family("figures")
ARPEGGIO = 8  # notes one after the other: twice as many as the hand has in one position
THIRD = 3  # semitones


def assign_roles(
    score: Score, analysis: Analysis, printed: Sequence[Note], prominent: Collection[str]
) -> dict[str, Role]:
    """The role of every sounding note by its id: ``melody`` is one line, all others are ``figure``.

    ``printed`` are the sounding notes that are printed, ``prominent`` ids of them (``print_size``).
    """
    tune = {note.id for note in printed if (known := analysis.notes.get(note.id)) and known.line == "melody"}
    if not tune:
        tune = _skyline(printed)
    beside_small = {note.staff for note in printed if note.id in prominent}
    tune -= {note.id for note in printed if note.staff in beside_small and note.id not in prominent}
    tune -= _peaks(score, printed, tune) - set(prominent)
    tune -= _of_arpeggios(analysis, printed, tune) - set(prominent)
    tune -= _doublings_of_the_bass(score, printed, tune)
    return {note.id: "melody" if note.id in tune else "figure" for note in score.sounding()}


def _of_arpeggios(analysis: Analysis, printed: Sequence[Note], tune: set[str]) -> set[str]:
    """The notes of ``tune`` in arpeggios of which most are not sung: ``ARPEGGIO`` notes or more of one voice, in one
    value and without a rest, that go through the tones of one chord, none of them by step."""
    voices: dict[int, list[Note]] = {}
    for note in printed:
        voices.setdefault(note.voice, []).append(note)
    found: set[str] = set()
    for notes in voices.values():
        chords = [list(chord) for _, chord in groupby(notes, key=lambda n: n.onset)]
        run: list[Note] = []
        for chord in [*chords, []]:
            known = analysis.notes.get(chord[0].id) if len(chord) == 1 else None
            single = chord[0] if known and known.function == "chord tone" else None
            if single is None or (run and not _leaps_on(analysis, run[-1], single)):
                if len(run) >= ARPEGGIO and 2 * sum(note.id in tune for note in run) < len(run):
                    found.update(note.id for note in run)
                run = []
            if single is not None:
                run.append(single)
    return found & tune


def _leaps_on(analysis: Analysis, note: Note, following: Note) -> bool:
    """Whether a voice goes on at once from a note, and not by step, to another of its value and harmony."""
    at_once = note.end == following.onset and note.duration == following.duration
    by_step = 0 < abs(note.midi - following.midi) < THIRD
    return at_once and not by_step and analysis.harmony_at(note.onset) is analysis.harmony_at(following.onset)


def _doublings_of_the_bass(score: Score, printed: Sequence[Note], tune: set[str]) -> set[str]:
    """The notes of ``tune`` that are the upper note of an octave in the left hand, while the right hand is silent: what
    is sung there is the bass."""
    struck = {(note.staff, note.onset, note.midi) for note in printed}
    others = {note.onset for note in printed if score.hand_of(note.staff) == "right"}
    return {
        note.id
        for note in printed
        if note.id in tune
        and score.hand_of(note.staff) == "left"
        and note.onset not in others
        and (note.staff, note.onset, note.midi - 12) in struck
    }


def doubled_below(score: Score, printed: Sequence[Note], roles: Mapping[str, Role]) -> frozenset[str]:
    """The ids of the notes that only double the melody: struck alone with it by the right hand, as long and in its
    voice, one or two octaves below. They are the melody in octaves, not its accompaniment."""
    found = set()
    ordered = sorted(printed, key=_attack)
    for (_, staff), notes in groupby(ordered, key=_attack):
        pair = sorted(notes, key=lambda n: n.midi)
        if len(pair) != 2 or score.hand_of(staff) != "right":
            continue
        low, high = pair
        together = (low.voice, low.noteheads[0].duration) == (high.voice, high.noteheads[0].duration)
        if together and high.midi - low.midi in OCTAVES and (roles[low.id], roles[high.id]) == ("figure", "melody"):
            found.add(low.id)
    return frozenset(found)


def _attack(note: Note) -> tuple[int, int]:
    return note.onset, note.staff


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


def _peaks(score: Score, printed: Sequence[Note], tune: set[str]) -> set[str]:
    """The notes of ``tune`` that come one or two at a time (the last of one beat, the first of the next) among unsung
    ones of their staff and value, and do not last beyond the next; at the beginning or the end of the music, one at a
    time.
    """
    found: set[str] = set()
    for staff in score.staves:
        attacks: dict[int, list[Note]] = {}
        for note in printed:
            if note.staff == staff.number:
                attacks.setdefault(note.onset, []).append(note)
        onsets = sorted(attacks)
        following = dict(pairwise(onsets))
        if len(onsets) > 1:
            following[onsets[-1]] = 2 * onsets[-1] - onsets[-2]
        sung = [[note for note in attacks[onset] if note.id in tune] for onset in onsets]
        for singing, places in groupby(range(len(onsets)), key=lambda place: bool(sung[place])):
            first, *others = places
            last = others[-1] if others else first
            around = [place for place in (first - 1, last + 1) if 0 <= place < len(onsets)]
            if not singing or last - first >= len(around):
                continue
            run = [note for place in (first, last) for note in sung[place]]
            values = {note.duration for place in around for note in attacks[onsets[place]]}
            if all(note.end <= following[note.onset] and note.duration in values for note in run):
                found.update(note.id for note in run)
    return found
