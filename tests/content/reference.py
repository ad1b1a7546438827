"""The reference editions in ``../shared/reference``, as they sound: for each bar what is struck, when, for how long.

A bar counts from 1. Onsets and durations are in quarters; pitches are spelled as in ``sitegen.score``, ``Bb3``. What is
tied is one note. Where two voices of an edition write one key at one time, as a triplet with a held note on its first,
the key is struck once and sounds as long as the longer of them. Small notes are told apart: editions agree on which
there are and in which bar is the note that they lead to, not on their values.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import music21

from sitegen.score import Score

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "reference"
LEAST = 960
"""Parts of a quarter to which music21's floats are taken back."""


@dataclass(frozen=True)
class Head:
    """A written notehead, before ties are joined. ``tie`` is start, continue, stop or nothing."""

    bar: int
    onset: Fraction
    pitch: str
    length: Fraction
    tie: str = ""
    grace: bool = False


@dataclass(frozen=True)
class Heard:
    """What is struck: by (bar, onset, pitch) how long it sounds; and the small notes of each bar, sorted."""

    struck: dict[tuple[int, Fraction, str], Fraction]
    graces: dict[int, list[str]]


def joined(heads: Iterable[Head], bar_length: Fraction) -> Heard:
    """The heads with their ties joined, for bars of one length."""
    struck: dict[tuple[int, Fraction, str], Fraction] = {}
    graces: dict[int, list[str]] = {}
    tied: dict[tuple[str, Fraction], tuple[int, Fraction, str]] = {}
    for head in sorted(heads, key=lambda h: (h.bar, h.onset)):
        if head.grace:
            # what closes a trill stands at the end of its bar and leads to the next
            graces.setdefault(head.bar + (head.onset >= bar_length), []).append(head.pitch)
            continue
        begins = (head.bar - 1) * bar_length + head.onset
        place = (head.bar, head.onset, head.pitch)
        if head.tie in ("stop", "continue") and (head.pitch, begins) in tied:
            place = tied.pop((head.pitch, begins))
            struck[place] += head.length
        else:
            struck[place] = max(struck.get(place, Fraction(0)), head.length)
        if head.tie in ("start", "continue"):
            tied[head.pitch, begins + head.length] = place
    return Heard(struck, {bar: sorted(pitches) for bar, pitches in graces.items()})


def from_file(name: str, bars: int) -> Iterator[Head]:
    """The heads of the first ``bars`` bars of a MusicXML or Humdrum file, read by music21."""
    for part in music21.converter.parse(FOLDER / name).parts:
        measures = [m for m in part.getElementsByClass("Measure") if m.recurse().notesAndRests]
        for number, measure in enumerate(measures[:bars], 1):
            for element in measure.recurse().notes:
                onset, length = element.getOffsetInHierarchy(measure), element.duration.quarterLength
                for note in element.notes if element.isChord else [element]:
                    tie = note.tie or element.tie
                    yield Head(
                        number,
                        Fraction(onset).limit_denominator(LEAST),
                        note.pitch.nameWithOctave.replace("-", "b"),
                        Fraction(length).limit_denominator(LEAST),
                        tie.type if tie else "",
                        element.duration.isGrace,
                    )


_TIES = {"1": "start", "0": "continue", "-1": "stop", "": ""}


def from_table(name: str, bars: int) -> Iterator[Head]:
    """The heads of a table of notes: a row a head, onsets in whole notes from the bar line."""
    with (FOLDER / name).open(encoding="utf-8") as file:
        for row in csv.DictReader(file, delimiter="\t"):
            if int(row["mc"]) <= bars:
                onset, length = Fraction(row["mc_onset"]) * 4, Fraction(row["duration"]) * 4
                yield Head(int(row["mc"]), onset, row["name"], length, _TIES[row["tied"]])


Reading = Callable[[str, int], Iterator[Head]]


def of_score(score: Score) -> Heard:
    """What the project's own reader has of a score, in the same form."""
    struck: dict[tuple[int, Fraction, str], Fraction] = {}
    graces: dict[int, list[str]] = {}
    for note in score.notes:
        bar = score.bar_at(note.onset)
        if note.grace:
            graces.setdefault(bar.index + 1, []).append(note.pitch.name)
            continue
        place = (bar.index + 1, score.quarters(note.onset - bar.onset), note.pitch.name)
        struck[place] = max(struck.get(place, Fraction(0)), score.quarters(note.duration))
    return Heard(struck, {bar: sorted(pitches) for bar, pitches in graces.items()})
