"""How long the ladder of a movement takes, for movements of 500 to 8,000 notes; nothing is asserted.

    python -m tests.benchmarks.ladder_speed

Four bars over an Alberti bass come again and again until it has so many notes.
"""

from __future__ import annotations

import time

from sitegen.analysis.analyse import analyse
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
    """Print seconds and notes a second for each size."""
    for size in SIZES:
        score = movement(size)
        analysis = analyse(score)
        start = time.process_time()
        stages = build_ladder(score, analysis)
        seconds = time.process_time() - start
        rate = len(score.notes) / seconds
        print(f"{len(score.notes):6d} notes, {len(stages)} stages: {seconds:.3f} s, {rate:,.0f} notes a second")


if __name__ == "__main__":
    main()
