"""Analyse every real score at hand: no crash, no gap, all fields filled; and how many notes a second.

    python -m tests.benchmarks.analyse_everything [FOLDER ...]

Each folder is searched for scores (``../shared`` if none is given). One line for each score that fails, then the sums.
Exit code 1 if anything failed.
"""

from __future__ import annotations

import sys
import time
import traceback
from collections import Counter
from itertools import pairwise
from pathlib import Path

from sitegen.analysis import analyse, describe
from sitegen.analysis.nouns import Analysis
from sitegen.score import Score, read_score
from tests.benchmarks.shared import SHARED

ENDINGS = (".mxl", ".musicxml", ".mei", ".krn", ".abc")


def faults(score: Score, analysis: Analysis) -> list[str]:
    """What the analysis lacks, in words."""
    found = []
    harmonies = analysis.harmonies
    if score.end and (not harmonies or harmonies[0].onset != 0 or harmonies[-1].end != score.end):
        found.append("the harmonies do not cover the score")
    if any(first.end != second.onset for first, second in pairwise(harmonies)):
        found.append("a gap or an overlap between harmonies")
    if set(analysis.notes) != {note.id for note in score.notes}:
        found.append("notes without a reading")
    if any(not reading.why for reading in analysis.notes.values()):
        found.append("readings without a reason")
    if len(analysis.tension) != len(harmonies):
        found.append("harmonies without a tension")
    if any(sum(value for _, value in tension.parts) != tension.value for tension in analysis.tension):
        found.append("tension is not the sum of its parts")
    if any(h.pitch_classes and h.symbol is None for h in harmonies):
        found.append("chords without a symbol")
    if any(h.pitch_classes and h.key and h.numeral is None for h in harmonies):
        found.append("chords without a numeral")
    if not describe(score, analysis).strip():
        found.append("an empty page")
    return found


def main(folders: list[Path]) -> int:
    files = sorted(file for folder in folders for file in folder.rglob("*") if file.suffix in ENDINGS)
    functions: Counter[str] = Counter()
    failed, notes, chords, seconds = 0, 0, 0, 0.0
    for file in files:
        try:
            score = read_score(file)
            start = time.perf_counter()
            analysis = analyse(score)
            seconds += time.perf_counter() - start
            wrong = faults(score, analysis)
        except Exception:
            wrong = [traceback.format_exc(limit=-2)]
        else:
            notes, chords = notes + len(score.notes), chords + len(analysis.harmonies)
            functions.update(reading.function for reading in analysis.notes.values())
        if wrong:
            failed += 1
            print(f"{file}: {'; '.join(wrong)}")
    print(
        f"{len(files)} scores, {failed} failed, {notes} notes, {chords} harmonies, {notes / seconds:.0f} notes a second"
    )
    print(", ".join(f"{count} {function}" for function, count in functions.most_common()))
    return 1 if failed or not files else 0


if __name__ == "__main__":
    sys.exit(main([Path(name) for name in sys.argv[1:]] or [SHARED]))
