"""How long builds take: all pieces new, nothing changed, one sentence of one piece changed.

    python -m tests.benchmarks.building_speed [--pieces N ...] [--workers N] [SCORE ...]

A studio of N pieces is written into a temporary folder, from these scores in turn, or from a score of four bars; of
several N (``--pieces 10 100 1000``) one after the other. Prints for each build the seconds by the clock and of the
processors (this process and its workers), the largest memory of this process in MB, how many files it wrote, and the
MB of the site. Each build is a process of its own, as its user has it.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.building.studio import FRONT, STUDIO, musicxml

RIGHT = "E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5w"
LEFT = "C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h"
HEAD = f"{'pieces':>6}  {'':20}{'clock':>8}{'processor':>11}{'MB':>6}{'files written':>15}{'site, MB':>10}"
# the system's own account of the largest memory counts what the process was before it became this program
_MEASURED = """
import re, resource, sys
from pathlib import Path
from sitegen.cli import main
try:
    main()
finally:
    for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN):
        print("used", *resource.getrusage(who)[:2], file=sys.stderr)
    print("held", *re.findall(r"VmHWM:\\s*(\\d+)", Path("/proc/self/status").read_text()), file=sys.stderr)
"""


def main() -> None:
    """Print a line for each build."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scores", type=Path, nargs="*")
    parser.add_argument("--pieces", type=int, nargs="+", default=[300])
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    print(HEAD)
    for pieces in options.pieces:
        with tempfile.TemporaryDirectory() as made:
            _measure_studio(Path(made), pieces, options)


def _measure_studio(root: Path, pieces: int, options: argparse.Namespace) -> None:
    _write_studio(root / "content", pieces, options.scores)
    changed = root / "content" / f"piece-{pieces // 2}" / "piece.md"
    measure(f"{pieces:6}  all pieces new", root, options.workers)
    measure(f"{'':6}  nothing changed", root, options.workers)
    changed.write_text(changed.read_text(encoding="utf-8") + "\nListen to the tenor.\n", encoding="utf-8")
    measure(f"{'':6}  one sentence changed", root, options.workers)
    measure(f"{'':6}  nothing changed", root, options.workers)


def _write_studio(content: Path, pieces: int, scores: list[Path]) -> None:
    content.mkdir()
    (content / "studio.yaml").write_text(STUDIO, encoding="utf-8")
    own = musicxml(RIGHT, LEFT).encode()
    for number in range(pieces):
        folder = content / f"piece-{number}"
        folder.mkdir()
        score = scores[number % len(scores)] if scores else Path("score.musicxml")
        (folder / score.name).write_bytes(score.read_bytes() if scores else own)
        front = FRONT.format(title=f"Piece {number}", commentary="Listen to the bass.")
        (folder / "piece.md").write_text(front.replace("score.musicxml", score.name), encoding="utf-8")


def measure(name: str, root: Path, workers: int) -> None:
    """Build ``content`` of the folder ``root`` into ``site`` there, in a process of its own, and print a line."""
    site, before, start = root / "site", time.time_ns(), time.monotonic()
    arguments = ["build", str(root / "content"), "-o", str(site), "-j", str(workers)]
    environment = os.environ | {"SITEGEN_CACHE": str(root / "store"), "PYTHONPATH": os.getcwd()}
    done = subprocess.run(
        [sys.executable, "-c", _MEASURED, *arguments], env=environment, capture_output=True, text=True, check=False
    )
    clock = time.monotonic() - start
    used = [
        [float(figure) for figure in line.split()] for line in re.findall(r"^used (.*)$", done.stderr, re.MULTILINE)
    ]
    if done.returncode or len(used) != 2:
        sys.exit(done.stderr)
    processor = sum(user + system for user, system in used)
    written = sum(file.stat().st_mtime_ns > before for file in root.rglob("*") if file.is_file())
    held = int(re.findall(r"^held (\d+)$", done.stderr, re.MULTILINE)[0]) / 1024
    size = sum(file.stat().st_size for file in site.rglob("*") if file.is_file()) / 1e6
    print(f"{name:28}{clock:8.2f}{processor:11.2f}{held:6.0f}{written:15}{size:10.1f}", flush=True)


if __name__ == "__main__":
    main()
