"""What a large library costs to build and to browse: small pieces by rule, in all keys, with collections.

    python -m tests.benchmarks.large_library [--pieces 300] [--workers N] [--keep FOLDER]

Writes the library of ``tests/many_pieces.py`` into a temporary folder and builds it: all new, nothing changed, a
sentence, a title and a piece more. Prints a line for each as ``building_speed`` does; then the bytes, compressed, of
each kind of page that lists pieces, and of the index of all words with its parts. ``--keep`` leaves all of it there.
"""

from __future__ import annotations

import argparse
import gzip
import os
import shutil
import tempfile
from collections import defaultdict
from pathlib import Path

from tests.benchmarks.building_speed import HEAD, measure
from tests.many_pieces import write_many

LISTING = ("index.html", "shelf.json", "site.json", "offline.json", "feed.xml", "sitemap.xml")


def main() -> None:
    """Print a line for each build, and one for each kind of page."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pieces", type=int, default=300)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--keep", type=Path)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        root = options.keep or Path(made)
        root.mkdir(parents=True, exist_ok=True)
        write_many(root / "content", options.pieces)
        _build(root, options.pieces, options.workers)
        _weigh(root / "site")


def _build(root: Path, pieces: int, workers: int) -> None:
    print(HEAD)
    measure(f"{pieces:6}  all pieces new", root, workers)
    measure(f"{'':6}  nothing changed", root, workers)
    file = root / "content" / f"piece-{pieces // 2:04}" / "piece.md"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"{text}\nListen to the tenor.\n", encoding="utf-8")
    measure(f"{'':6}  one sentence changed", root, workers)
    file.write_text(text.replace('title: "', 'title: "The ', 1), encoding="utf-8")
    measure(f"{'':6}  one title changed", root, workers)
    shutil.copytree(file.parent, root / "content" / "another-piece")
    measure(f"{'':6}  one piece more", root, workers)


def _weigh(site: Path) -> None:
    sizes: dict[str, list[int]] = defaultdict(list)
    for file in sorted(site.rglob("*")):
        path = file.relative_to(site).as_posix()
        kind = path.split("/")[0]
        if file.is_file() and (path in LISTING or kind in ("by", "collections", "search")):
            sizes[path if path in LISTING or kind == "by" else f"{kind}/"].append(
                len(gzip.compress(file.read_bytes(), mtime=0))
            )
    print(f"\n{'kB, compressed':26}{'files':>6}{'largest':>9}{'together':>10}")
    for kind, each in sizes.items():
        print(f"{kind:26}{len(each):6}{max(each) / 1000:9.1f}{sum(each) / 1000:10.1f}")


if __name__ == "__main__":
    main()
