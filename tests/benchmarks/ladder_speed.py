"""How long a movement takes from its notes to its ladder, for 500 to 8,000 notes, in processor time; nothing is
asserted.

    python -m tests.benchmarks.ladder_speed

Four bars over an Alberti bass come again and again until it has so many notes.
"""

from __future__ import annotations

import time
from itertools import pairwise

from sitegen.analysis.analysing import analyse
from sitegen.reduction import build_ladder
from sitegen.score import Score
from tests.notation import score_of

_RIGHT = "E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5s D5 E5 F5 G5 F5 E5 D5 C5h"
_LEFT = "C4e G4 E4 G4 D4 G4 F4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | A3 E4 C4 E4 D4 A4 F4 A4 | G3 D4 B3 D4 C4 G4 E4 G4"
SIZES = (500, 1500, 2000, 8000)


def movement(notes: int) -> Score:
    """A movement of at least so many notes."""
    once = len(score_of(right=_RIGHT, left=_LEFT).notes)
    times = -(-notes // once)
    return score_of(right=" | ".join([_RIGHT] * times), left=" | ".join([_LEFT] * times))


def main() -> None:
    """Print the seconds of the analysis and of the ladder, their sum, and notes a second, for each size."""
    for size in SIZES:
        score = movement(size)
        times = [time.process_time()]
        analysis = analyse(score)
        times.append(time.process_time())
        stages = build_ladder(score, analysis)
        times.append(time.process_time())
        heard, built = (after - before for before, after in pairwise(times))
        rate = len(score.notes) / (heard + built)
        seconds = f"analysis {heard:.3f} s + ladder {built:.3f} s = {heard + built:.3f} s"
        print(f"{len(score.notes):6d} notes, {len(stages)} stages: {seconds}, {rate:,.0f} notes a second")


if __name__ == "__main__":
    main()
