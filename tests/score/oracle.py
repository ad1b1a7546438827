"""Independent readers of a score file: what they find, and how it differs from a ``Score``.

MusicXML and MEI are read by partitura, Humdrum by music21: partitura's reader of Humdrum does not join ties within
chords, and music21's reader of MEI leaves notes out.

A note is ``(bar, onset, duration, midi)``: bar by index, onset and duration in quarters, the onset from the bar line.
A grace that stands at the very end of a bar counts as one at the start of the next, so that readers agree on it.
"""

from __future__ import annotations

import re
import warnings
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sitegen.score import Score

Row = tuple[int, float, float, int]

TOLERANCE = 1 / 48


def rows_of(score: Score) -> list[Row]:
    """The notes of a ``Score``."""
    rows = []
    for note in score.notes:
        bar = score.bars[note.bar]
        at, length = float(score.quarters(note.onset - bar.onset)), float(score.quarters(note.duration))
        late = note.onset == bar.end and bar.index + 1 < len(score.bars)
        rows.append((note.bar + 1, 0.0, length, note.midi) if late else (note.bar, at, length, note.midi))
    return rows


def rows_from_partitura(path: Path) -> list[Row]:
    """The notes of a MusicXML or MEI file as partitura finds them, tied notes merged."""
    import partitura

    with warnings.catch_warnings(), TemporaryDirectory() as folder:
        warnings.simplefilter("ignore")
        if path.suffix == ".mei":
            # partitura leaves out what stands in endings, and stops at repeats it does not understand
            text = re.sub(r"<(/?)ending\b[^>]*>", r"<\1section>", path.read_text(encoding="utf-8"))
            copy = Path(folder) / path.name
            copy.write_text(re.sub(r'\s(left|right)="rpt\w+"', "", text), encoding="utf-8")
            score = partitura.load_mei(str(copy))
        else:
            score = partitura.load_musicxml(str(path))
    rows: list[Row] = []
    for part in score.parts:
        quarters, starts = part.quarter_map, [m.start.t for m in sorted(part.measures, key=lambda m: m.start.t)]
        for note in part.notes_tied:
            bar = bisect_right(starts, note.start.t) - 1
            grace = isinstance(note, partitura.score.GraceNote)
            end = quarters(note.start.t if grace else note.start.t + note.duration_tied)
            onset = quarters(note.start.t)
            rows.append((bar, float(onset - quarters(starts[bar])), float(end - onset), note.midi_pitch))
    return rows


def rows_from_music21(path: Path) -> list[Row]:
    """The notes of a Humdrum file as music21 finds them, tied notes merged."""
    from music21 import converter

    rows: list[Row] = []
    for part in converter.parse(str(path), forceSource=True).parts:
        heads = []
        for bar, measure in enumerate(part.getElementsByClass("Measure")):
            for element in measure.recurse().notes:
                for note in element.notes if element.isChord else [element]:
                    tie = note.tie or element.tie
                    onset = float(element.getOffsetInHierarchy(measure))
                    start = float(element.getOffsetInHierarchy(part))
                    voice = str(element.activeSite.id) if element.activeSite is not measure else ""
                    length = float(element.quarterLength)
                    heads.append((start, bar, onset, length, note.pitch.midi, tie and tie.type, voice))
        sounding: list[list[Any]] = []
        hanging: dict[int, list[list[Any]]] = defaultdict(list)
        for start, bar, onset, length, midi, tie, voice in sorted(heads, key=lambda h: h[0]):
            # of two voices on one key each goes on with its own tie; else one voice takes over that of the other
            ending = [h for h in hanging[midi] if abs(h[4] - start) < TOLERANCE]
            held = min(ending, key=lambda h: h[5] != voice, default=None)
            if tie in ("stop", "continue") and held is not None:
                held[2] += length
                held[4] += length
                if tie == "stop":
                    hanging[midi].remove(held)
                continue
            sounding.append([bar, onset, length, midi, start + length, voice])
            if tie == "start":
                hanging[midi].append(sounding[-1])
        rows += [(int(s[0]), s[1], s[2], int(s[3])) for s in sounding]
    return rows


def independent_rows(path: Path) -> list[Row]:
    """The notes of a file as the reader that is right for its format finds them."""
    return rows_from_music21(path) if path.suffix == ".krn" else rows_from_partitura(path)


def differences(ours: Iterable[Row], theirs: Iterable[Row]) -> tuple[list[Row], list[Row]]:
    """The rows only we have, and those only they have; onsets and durations may differ by ``TOLERANCE``."""
    unmatched: dict[tuple[int, int], list[Row]] = defaultdict(list)
    for row in ours:
        unmatched[row[0], row[3]].append(row)
    missing = []
    for row in theirs:
        near = unmatched[row[0], row[3]]
        same = next((r for r in near if abs(r[1] - row[1]) < TOLERANCE and abs(r[2] - row[2]) < TOLERANCE), None)
        if same is None:
            missing.append(row)
        else:
            near.remove(same)
    return sorted(row for rows in unmatched.values() for row in rows), sorted(missing)
