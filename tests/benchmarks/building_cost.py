"""What a cold build costs, against the least that it could cost.

    python -m tests.benchmarks.building_cost [SCORE ...] [--workers N]

Without SCORE, all of ../shared/scores. Each score becomes a piece of a content folder made for the purpose, which is
built into an empty place with an empty store. Printed are, of that one run:

- processor seconds of the build, its workers included, and wall seconds over processor seconds;
- the floor, in processor seconds of a process of its own: music21 reads each score once, and verovio loads, lays out,
  draws in every layout, times and plays every stage that was published;
- their ratio, and the greatest memory of a worker and of the process that hands out the work.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.shared import SHARED

_PIECE = (
    "---\ntitle: {name}\ncomposer: Unknown\nlicence: CC0-1.0\nsource: a benchmark\nscore: {file}\n---\nA benchmark.\n"
)


def content_of(scores: Sequence[Path], folder: Path) -> Path:
    """A content folder at ``folder`` with a piece for each score."""
    folder.mkdir(parents=True)
    (folder / "studio.yaml").write_text("title: A benchmark\nlanguage: en\n", encoding="utf-8")
    for score in scores:
        piece = folder / score.stem
        piece.mkdir()
        (piece / score.name).write_bytes(score.read_bytes())
        (piece / "piece.md").write_text(_PIECE.format(name=score.stem, file=score.name), encoding="utf-8")
    return folder


def main() -> None:
    """Build, then measure the floor of what was published."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scores", type=Path, nargs="*")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    scores = options.scores or sorted(p for p in (SHARED / "scores").iterdir() if p.suffix in (".mxl", ".mei", ".krn"))
    with tempfile.TemporaryDirectory() as made:
        root = Path(made)
        content, output = content_of(scores, root / "content"), root / "output"
        command = [
            sys.executable,
            "-m",
            "sitegen",
            "build",
            str(content),
            "-o",
            str(output),
            "-j",
            str(options.workers),
        ]
        spent, wall = _timed([sys.executable, "-c", _TELL_MEMORY, *command[1:]], root)
        print(f"build: {spent:.1f} s of processor time, {wall:.1f} s by the clock, ratio {wall / spent:.2f}")
        floor, _ = _timed([sys.executable, "-m", "tests.benchmarks.building_floor", str(content), str(output)], root)
        print(f"floor: {floor:.1f} s of processor time; build over floor {spent / floor:.2f}")


#: Runs the build in this process and says how much memory it and the largest of its workers took.
_TELL_MEMORY = """
import resource, runpy, sys
sys.argv = ["sitegen", *sys.argv[3:]]
try:
    runpy.run_module("sitegen", run_name="__main__")
finally:
    for name, who in ("handing out", resource.RUSAGE_SELF), ("a worker", resource.RUSAGE_CHILDREN):
        print(f"most memory, {name}: {resource.getrusage(who).ru_maxrss / 1024:.0f} MB", flush=True)
"""


def _timed(command: Sequence[str], root: Path) -> tuple[float, float]:
    """Processor seconds of a command and all that it started, and seconds by the clock."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    done = subprocess.run(
        command, env={**os.environ, "SITEGEN_CACHE": str(root / "store")}, stderr=subprocess.DEVNULL, check=False
    )
    if done.returncode > 1:
        raise SystemExit(f"{' '.join(command[-6:])}: ended with {done.returncode}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, time.monotonic() - began


def stages_of(output: Path) -> list[tuple[str, list[Path]]]:
    """The slug of each piece of a site, and the MusicXML files of its stages; the last is the score as written."""
    site = json.loads((output / "site.json").read_text(encoding="utf-8"))
    return [(p["slug"], [output / stage["musicxml"] for stage in p["stages"]]) for p in site["pieces"]]


if __name__ == "__main__":
    main()
