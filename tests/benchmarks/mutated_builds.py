"""Whole builds of libraries in which scores are wrong, and what becomes of each piece.

    python -m tests.benchmarks.mutated_builds [--builds 300] [--pieces 3] [--seed 1] [--keep FOLDER]

In each build so many pieces have a mutated or odd score (as ``tests.benchmarks.mutated`` makes them), beside one that
is sound. ``sitegen build`` runs as its user has it. Each wrong piece must have a page or a line that names it, the
sound one its page; the build ends with 0 or 1, without a traceback, and calls nothing a defect of the program.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import subprocess
import sys
import tempfile
from collections import Counter
from itertools import islice
from pathlib import Path

from tests.benchmarks.mutated import cases
from tests.building.studio import FRONT, STUDIO, musicxml
from tests.hostile.judging import OURS

_GOOD = musicxml("E5q D5e C5 B4q C5 | C5w", "C4w | C4w").encode()
COLUMNS = ("page", "a line", "neither", "called a defect", "traceback", "exit", "sound piece gone")


def build(root: Path, made: list[tuple[str, bytes]]) -> Counter[str]:
    """What becomes of one library at ``root`` of these files and a sound piece."""
    content, site = root / "content", root / "site"
    content.mkdir(parents=True)
    (content / "studio.yaml").write_text(STUDIO, encoding="utf-8")
    pieces = [("sound", "score.musicxml", _GOOD)]
    pieces += [(f"wrong-{place}", f"score{Path(name).suffix}", data) for place, (name, data) in enumerate(made)]
    for slug, score, data in pieces:
        (content / slug).mkdir()
        (content / slug / score).write_bytes(data)
        front = FRONT.format(title=slug.capitalize(), commentary="Listen to the bass.")
        (content / slug / "piece.md").write_text(front.replace("score.musicxml", score), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "sitegen", "build", str(content), "-o", str(site), "-j", "2"],
        env=os.environ | {"SITEGEN_CACHE": str(root / "store")}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    said = done.stdout + done.stderr
    found: Counter[str] = Counter()
    for slug, _, _ in pieces:
        has_page = (site / "pieces" / slug / "index.html").is_file()
        if slug == "sound":
            found["sound piece gone"] += not has_page
        elif has_page:
            found["page"] += 1
        else:
            found["a line" if f"/{slug}/" in said else "neither"] += 1
    found["called a defect"] += sum(bool(OURS.search(line)) for line in said.splitlines())
    found["traceback"] += "Traceback" in said
    found["exit"] += done.returncode not in (0, 1)
    return found


def main() -> int:
    """Print a table of all builds."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--builds", type=int, default=300)
    parser.add_argument("--pieces", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path)
    asked = parser.parse_args()
    count = asked.builds * asked.pieces
    files = ((name, data) for _, name, data in cases(count * 5 // 6, count - count * 5 // 6, asked.seed, ""))
    # the mutated ones come before the odd ones: each build has some of both
    mixed = sorted(files, key=lambda file: mixing(file[0], asked.seed))
    waiting = iter(mixed)
    table: Counter[str] = Counter()
    for number in range(asked.builds):
        with tempfile.TemporaryDirectory() as folder:
            made = list(islice(waiting, asked.pieces))
            found = build(Path(folder), made)
        table += found
        if any(found[column] for column in COLUMNS[2:]):
            print(f"{[name for name, _ in made]}: {dict(found)}", flush=True)
            if asked.keep:
                asked.keep.mkdir(parents=True, exist_ok=True)
                for name, data in made:
                    (asked.keep / name).write_bytes(data)
        if number % 20 == 19:
            print(f"{number + 1} of {asked.builds}", file=sys.stderr, flush=True)
    print(f"{asked.builds} builds, {count} wrong pieces: " + ", ".join(f"{name} {table[name]}" for name in COLUMNS))
    return int(any(table[column] for column in COLUMNS[2:]))


def mixing(name: str, seed: int) -> int:
    """A number by which files are mixed, the same at every run."""
    return int.from_bytes(hashlib.sha256(f"{seed} {name}".encode()).digest()[:8], "big")


if __name__ == "__main__":
    sys.exit(main())
