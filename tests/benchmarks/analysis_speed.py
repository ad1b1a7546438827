"""Notes analysed in a second, for three lengths of score: the time should grow with the notes and no faster.

python -m tests.benchmarks.analysis_speed
"""

from __future__ import annotations

import time

from sitegen.analysis import analyse
from sitegen.analysis.harmony import find_harmonies
from tests.notation import score_of

_RIGHT = ("E5q G5e F5 E5 D5 C5q", "D5q F5e E5 D5 C5 B4q", "C5q E5e D5 C5 B4 A4q", "B4e C5 D5 E5 D5q D5")
_LEFT = ("C3e G3 E3 G3 C3 G3 E3 G3", "D3e A3 F3 A3 G3 B3 F3 B3", "A2e E3 C3 E3 F2 C3 A2 C3", "G2e D3 B2 D3 G2 F3 B2 F3")


def main() -> None:
    for notes in (500, 2_000, 8_000):
        bars = notes * 4 // sum(text.count(" ") + 1 for text in (*_RIGHT, *_LEFT))
        score = score_of(
            right=" | ".join(_RIGHT[i % 4] for i in range(bars)), left=" | ".join(_LEFT[i % 4] for i in range(bars))
        )
        for name, step in (("harmony", find_harmonies), ("all of the analysis", analyse)):
            start = time.perf_counter()
            step(score)
            spent = time.perf_counter() - start
            count = len(score.notes)
            print(f"{name:20} {count:6} notes {spent:7.3f} s {count / spent:10.0f} notes a second", flush=True)


if __name__ == "__main__":
    main()
