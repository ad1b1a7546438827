"""How the reader compares with an independent one on every real score at hand.

    python -m tests.benchmarks.reading_everything [FILE ...]

Without files: all of ../shared/scores, ../shared/harmony and ../shared/melody. One line a file that differs, then
the totals.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from sitegen.errors import ScoreError
from sitegen.score import read_score
from tests.benchmarks.shared import SHARED
from tests.score.oracle import differences, independent_rows, rows_of

PATTERNS = ("scores/*.*", "harmony/pieces/*/score.mxl", "melody/tunes/*/melody.musicxml")


def main(arguments: list[str]) -> int:
    files = [Path(a) for a in arguments] or [path for pattern in PATTERNS for path in sorted(SHARED.glob(pattern))]
    if not files:
        print("no scores: ../shared is not there")
        return 1
    notes = ours = theirs = equal = refused = 0
    seconds = 0.0
    for path in files:
        name = "/".join(path.parts[-2:])
        begun = time.perf_counter()
        try:
            score = read_score(path)
        except ScoreError as error:
            refused += 1
            print(f"{name}: refused: {error}")
            continue
        seconds += time.perf_counter() - begun
        with quiet():
            only_ours, only_theirs = differences(rows_of(score), independent_rows(path))
        notes, ours, theirs = notes + len(score.notes), ours + len(only_ours), theirs + len(only_theirs)
        equal += not only_ours and not only_theirs
        if only_ours or only_theirs:
            bars = dict.fromkeys(score.bars[min(row[0], len(score.bars) - 1)].number for row in only_ours + only_theirs)
            print(f"{name}: only ours {len(only_ours)}, only theirs {len(only_theirs)}, bars {', '.join(bars)}")
    print(f"{len(files)} files, {refused} refused, {equal} alike; {notes} notes in {seconds:.1f} s, "
          f"only ours {ours}, only theirs {theirs}")  # fmt: skip
    return 0


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Nothing on standard error, where the other readers' libraries complain from C++."""
    saved, null = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 2)
    try:
        yield
    finally:
        os.dup2(saved, 2)
        os.close(null)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
