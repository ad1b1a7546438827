"""Prints what a piece weighs on a built site: files and bytes by kind, raw and as a host compresses them (gzip, each
file by itself), what a piece of a hundred bars and seven stages would weigh by the same measure, and what a phone
fetches before the first music is drawn.

    python -m tests.benchmarks.site_weight SITE [SLUG ...]

Without slugs, of every piece. Files that go with a stage grow with bars and stages, those of the piece with its bars.
"""

from __future__ import annotations

import gzip
import json
import re
import sys
from collections import defaultdict
from pathlib import Path

_BARS, _STAGES = 100, 7
_KINDS = {".svg": "drawings", ".musicxml": "MusicXML", ".mid": "MIDI", ".html": "pages", ".json": "data"}


def main(root: Path, slugs: list[str]) -> None:
    for slug in slugs or sorted(place.name for place in (root / "pieces").iterdir()):
        weigh(root, slug)


def weigh(root: Path, slug: str) -> None:
    """Print the table of one piece."""
    folder = root / "pieces" / slug
    piece = json.loads((folder / "piece.json").read_text(encoding="utf-8"))
    bars, stages = len(piece["bars"]), len(piece["stages"])
    print(f"{slug}: {bars} bars, {stages} stages")
    print("kind            files       raw      gzip   files'      raw'     gzip'    (' of 100 bars, seven stages)")
    sums = [0.0] * 6
    rows: dict[str, list[float]] = defaultdict(lambda: [0.0] * 6)
    for place in sorted(path for path in folder.rglob("*") if path.is_file()):
        data = place.read_bytes()
        kind = _kind(place.relative_to(folder))
        per_stage = _STAGES / stages if "stages" in place.relative_to(folder).parts else 1.0
        # as many files whatever the length, but for sheets, of which a long piece has more
        longer = _BARS / bars
        sheets = longer if re.search(r"-\d+\.svg$", place.name) and longer < 1 else 1.0
        size, packed = len(data), len(gzip.compress(data, mtime=0))
        for index, value in enumerate(
            (1, size, packed, per_stage * sheets, size * per_stage * longer, packed * per_stage * longer)
        ):
            rows[kind][index] += value
            sums[index] += value
    for kind, row in [*sorted(rows.items(), key=lambda item: -item[1][1]), ("all", sums)]:
        print(f"{kind:14} {row[0]:6.0f} {row[1]:9,.0f} {row[2]:9,.0f} {row[3]:8.0f} {row[4]:9,.0f} {row[5]:9,.0f}")
    before = first_music(root, folder)
    told = ", ".join(f"{name} {size:,}" for name, size in before.items())
    print(f"to the first music on a phone: {sum(before.values()):,} bytes ({told})\n")


def _kind(path: Path) -> str:
    kind = _KINDS.get(path.suffix, "others")
    return path.name if kind == "data" else kind


def first_music(root: Path, folder: Path) -> dict[str, int]:
    """What is fetched before music is seen: the page, the styles and scripts that hold it up, and the first sheet."""
    page = folder / "index.html"
    text = page.read_text(encoding="utf-8")
    found = {"page": page}
    for name, pattern in {
        "styles": r'<link rel="stylesheet" href="([^"]+)"',
        "script": r'<script src="([^"]+)"',
        "sheet": r'src="([^"#]+-1\.svg)',
    }.items():
        for number, match in enumerate(re.findall(pattern, text)[: 1 if name == "sheet" else None], 1):
            found[name if number == 1 else f"{name} {number}"] = (folder / match).resolve()
    return {name: len(gzip.compress(place.read_bytes(), mtime=0)) for name, place in found.items()}


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
