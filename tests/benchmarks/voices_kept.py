"""How much of each true voice of a contrapuntal piece some stage of its ladder gives back by itself.

    python -m tests.benchmarks.voices_kept [--pieces apart,crossing] [--most N] [--no-ladder]

Pieces whose voices are known because each has a part of its own are merged onto two staves as an editor of keyboard
music would print them: the staff of a voice is chosen anew in every half bar by where it lies, its number in every bar
by the order on its staff, and two voices that share a staff and a rhythm for a bar are printed as chords. For each true
voice the best F1 over the stages of the ladder (and over the voices that the analysis finds, whatever the ladder) of
the set of its notes as (onset, midi) is taken; for each piece the mean over its voices is printed, then the mean over
all voices of all pieces. ``numbers`` is the same for the voice numbers as printed.
"""

from __future__ import annotations

import argparse
import copy
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

import music21

from sitegen.analysis.analysing import analyse
from sitegen.analysis.counterpoint.voices import count_voices, follow_voices
from sitegen.reduction import build_ladder
from sitegen.score import Bar, Metre, Note, Notehead, Pitch, Score, Staff

# "apart": voices that keep their order in nine notes of ten, as those of keyboard fugues do; "crossing": equal voices
SOURCES = {
    "apart": (
        *(f"palestrina/{name}" for name in (
            "Agnus_I_28", "Benedictus_08_b", "Benedictus_75", "Benedictus_89_a", "Credo_08_b", "Credo_25_b",
            "Credo_54_c", "Credo_68_b", "Credo_79_a", "Credo_96_a", "Sanctus_15_c", "Sanctus_55_b", "Sanctus_65_b",
        )),
        "beethoven/opus18no1/movement1.mxl", "beethoven/opus18no1/movement4.mxl", "beethoven/opus18no3.mxl",
    ),
    "crossing": (
        *(f"palestrina/{name}" for name in ("Benedictus_46_a", "Credo_27", "Credo_49_b", "Gloria_27", "Kyrie_22")),
        *(f"monteverdi/madrigal.{name}.mxl" for name in ("3.1", "3.10", "3.12", "3.15")),
        "beethoven/opus18no4.mxl", "mozart/k155/movement2.mxl", "haydn/opus1no1/movement2.mxl",
    ),
    "chorales": tuple(f"bach/bwv{n}" for n in ("66.6", "57.8", "269", "347", "153.1", "26.6", "40.8", "86.6")),
}  # fmt: skip
SPLIT = 60
LONGEST = 60  # bars of a piece that are used

Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Merged:
    """A piece on two staves with the truth: each voice's notes as (onset, midi)."""

    name: str
    score: Score
    truth: tuple[frozenset[Place], ...]


def merged(name: str, stream: music21.stream.Score) -> Merged:
    """The parts of ``stream`` on two staves. Raises ``ValueError`` where its bars are not those of all its parts."""
    parts = list(stream.parts)
    rows = [_notes_of(part) for part in parts]
    measures = list(parts[0].getElementsByClass("Measure"))[:LONGEST]
    values = [value for row in rows for onset, length, _ in row for value in (onset, length)]
    starts = [Fraction(m.offset) for m in measures]
    lengths = [Fraction(m.duration.quarterLength) for m in measures]
    tpq = _multiple([*values, *starts, *lengths])
    bars = []
    metre = Metre(4, 4)
    for index, (start, length, measure) in enumerate(zip(starts, lengths, measures, strict=True)):
        if measure.timeSignature is not None:
            metre = Metre(measure.timeSignature.numerator, measure.timeSignature.denominator)
        bars.append(Bar(index, str(index + 1), int(start * tpq), int(length * tpq), metre))
    if any(one.end != other.onset for one, other in pairwise(bars)):
        raise ValueError(f"the bars of {name} leave gaps")
    voices = [
        [(int(onset * tpq), int(length * tpq), pitch) for onset, length, pitch in row if onset * tpq < bars[-1].end]
        for row in rows
    ]
    voices = [voice for voice in voices if voice]
    notes = _printed(voices, bars)
    staves = (Staff(1, "right"), Staff(2, "left"))
    score = Score(tpq, tuple(bars), staves, notes)
    truth = tuple(frozenset((onset, pitch.midi) for onset, _, pitch in voice) for voice in voices)
    return Merged(name, score, truth)


def _notes_of(part: music21.stream.Part) -> list[tuple[Fraction, Fraction, Pitch]]:
    """Onset, length and pitch of each sounding note, ties joined; of a chord its highest note."""
    found: list[tuple[Fraction, Fraction, Pitch]] = []
    for element in copy.deepcopy(part).stripTies().flatten().notes:
        if element.duration.isGrace or not element.duration.quarterLength:
            continue
        pitch = element.pitches[-1]
        alter = int(pitch.alter)
        found.append((
            Fraction(element.offset).limit_denominator(960), Fraction(element.quarterLength).limit_denominator(960),
            Pitch(pitch.step, alter, pitch.implicitOctave),
        ))  # fmt: skip
    return found


def _multiple(values: Iterable[Fraction]) -> int:
    least = 4
    for value in {v.denominator for v in values}:
        while least % value:
            least += 4
    return least


def _printed(voices: Sequence[Sequence[tuple[int, int, Pitch]]], bars: Sequence[Bar]) -> tuple[Note, ...]:
    """The notes as an editor of keyboard music prints them; of a unison on one staff one note."""
    made: list[Note] = []
    spans = [(bar, half) for bar in bars for half in (0, 1)]
    staff_of: dict[tuple[int, int, int], int] = {}
    middle = len(voices) / 2
    for bar, half in spans:
        start, end = bar.onset + half * (bar.length // 2), bar.onset + (half + 1) * (bar.length // 2) + half
        for number, voice in enumerate(voices):
            here = [pitch.midi for onset, _, pitch in voice if start <= onset < end]
            if not here:
                continue
            outer = 1 if number == 0 else 2 if number == len(voices) - 1 else 0
            lies = sum(here) / len(here) + (2 if number < middle else -2)
            staff_of[bar.index, half, number] = outer or (1 if lies >= SPLIT else 2)
    for bar in bars:
        in_bar = [[row for row in voice if bar.onset <= row[0] < bar.end] for voice in voices]
        numbers: dict[tuple[int, int], int] = {}
        rhythms: dict[int, list[tuple[frozenset[tuple[int, int]], int]]] = defaultdict(list)
        taken: dict[int, int] = defaultdict(int)
        for number, row in enumerate(in_bar):
            for staff in sorted({staff_of[bar.index, _half(bar, onset), number] for onset, _, _ in row}):
                rhythm = frozenset((onset, length) for onset, length, _ in row)
                same = next((n for r, n in rhythms[staff] if r == rhythm and len(rhythm) > 1), None)
                if same is None:
                    taken[staff] = min(4, taken[staff] + 1)
                    rhythms[staff].append((rhythm, taken[staff]))
                    same = taken[staff]
                numbers[number, staff] = same
        for number, row in enumerate(in_bar):
            for onset, length, pitch in row:
                staff = staff_of[bar.index, _half(bar, onset), number]
                voice = 4 * (staff - 1) + numbers[number, staff]
                made.append(Note("", bar.index, onset, length, pitch, staff, voice))
    ordered = sorted(made, key=lambda n: (n.onset, n.midi, n.staff, -n.duration))
    kept: list[Note] = []
    for note in ordered:
        if kept and (kept[-1].onset, kept[-1].midi, kept[-1].staff) == (note.onset, note.midi, note.staff):
            continue
        name = f"n{len(kept)}"
        kept.append(replace(note, id=name, noteheads=(Notehead(name, note.bar, note.onset, note.duration),)))
    return tuple(kept)


def _half(bar: Bar, onset: int) -> int:
    return int(2 * (onset - bar.onset) >= bar.length)


def f1(found: frozenset[Place], true: frozenset[Place]) -> float:
    """F1 of two sets of notes."""
    return 2 * len(found & true) / max(1, len(found) + len(true))


def best(found: Iterable[frozenset[Place]], true: frozenset[Place]) -> float:
    """The best F1 that one of several sets reaches."""
    return max((f1(one, true) for one in found), default=0.0)


def of_numbers(score: Score) -> list[frozenset[Place]]:
    """The notes of each voice number as printed."""
    numbers: dict[int, set[Place]] = defaultdict(set)
    for note in score.notes:
        numbers[note.voice].add((note.onset, note.midi))
    return [frozenset(places) for places in numbers.values()]


def of_analysis(score: Score) -> list[frozenset[Place]]:
    """The notes of each voice that the analysis follows."""
    notes = [note for note in score.notes if note.duration]
    count = count_voices(notes)
    found: list[set[Place]] = [set() for _ in range(count)]
    length = max(bar.length for bar in score.bars)
    for note, voice in zip(notes, follow_voices(notes, count, score.ticks_per_quarter, length), strict=True):
        if voice is not None:
            found[voice].add((note.onset, note.midi))
    return [frozenset(places) for places in found]


def of_ladder(score: Score) -> list[frozenset[Place]]:
    """The notes of each stage."""
    return [frozenset((n.onset, n.midi) for n in stage.notes) for stage in build_ladder(score, analyse(score))]


def pieces(kinds: Iterable[str], most: int) -> Iterable[Merged]:
    """The pieces of some kinds, ``most`` of each; what the corpus has not, or has with gaps, is skipped."""
    for kind in kinds:
        for name in SOURCES[kind][:most]:
            try:
                stream = music21.corpus.parse(name)
                yield merged(name, stream)
            except (music21.exceptions21.Music21Exception, AttributeError, ValueError) as fault:
                print(f"{name} skipped: {fault}")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pieces", default=",".join(SOURCES))
    parser.add_argument("--most", type=int, default=99)
    parser.add_argument("--no-ladder", action="store_true", help="the voices of the analysis only")
    options = parser.parse_args()
    every: dict[str, list[float]] = defaultdict(list)
    for piece in pieces(options.pieces.split(","), options.most):
        ways = {"numbers": of_numbers(piece.score), "analysis": of_analysis(piece.score)}
        if not options.no_ladder:
            ways["ladder"] = of_ladder(piece.score)
        figures = {way: [best(found, true) for true in piece.truth] for way, found in ways.items()}
        for way, values in figures.items():
            every[way] += values
        said = "  ".join(f"{way} {sum(v) / len(v):.3f}" for way, v in figures.items())
        worst = " ".join(f"{value:.2f}" for value in figures["analysis"])
        print(
            f"{piece.name:32} {len(piece.truth)} voices, {len(ways['analysis'])} found  {said}   ({worst})", flush=True
        )
    print(f"{'all':32}", "  ".join(f"{way} {sum(v) / len(v):.3f}" for way, v in every.items() if v))


if __name__ == "__main__":
    main()
