"""Whether the notes counted in a file's own text are those that are read, for every format.

    python -m tests.benchmarks.counted [FILE ...]

Without files: samples made here in every format, and all of ../shared/scores, each as it stands, and as verovio and
music21 convert it into the other formats (in a temporary folder). A line for each file that differs or is refused,
then a row for each format: files, noteheads counted, noteheads read, files that differ, files refused.
"""

from __future__ import annotations

import contextlib
import os
import sys
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sitegen.errors import ScoreError
from sitegen.score import open_source, read_score
from tests.benchmarks.mutated import samples
from tests.benchmarks.reading_everything import quiet
from tests.benchmarks.shared import SHARED


@dataclass(slots=True)
class Row:
    """The sums of one format."""

    files: int = 0
    counted: int = 0
    read: int = 0
    differ: int = 0
    refused: int = 0


def main(arguments: list[str]) -> int:
    paths = [Path(a) for a in arguments] or sorted((SHARED / "scores").glob("*.*"))
    if not paths:
        print("../shared is not there: samples alone")
    rows: dict[str, Row] = {}
    with TemporaryDirectory() as folder:
        for form, texts in {} if arguments else samples().items():
            for name, text in texts.items():
                made = Path(folder) / f"{name}.{form}"
                made.write_text(text, encoding="utf-8")
                _count(made, f"{form} made here", rows)
        for path in paths:
            _count(path, f"{path.suffix[1:]} as it stands", rows)
            for name, convert in () if arguments else CONVERSIONS.items():
                for made in _converted(path, Path(folder), convert):
                    _count(made, f"{made.suffix[1:]} by {name}", rows)
    print(f"\n{'format':28}{'files':>7}{'counted':>10}{'read':>10}{'differ':>8}{'refused':>9}")
    for name, row in sorted(rows.items()):
        print(f"{name:28}{row.files:7}{row.counted:10}{row.read:10}{row.differ:8}{row.refused:9}")
    return int(any(row.differ or row.refused for row in rows.values()))


def _count(path: Path, name: str, rows: dict[str, Row]) -> None:
    row = rows.setdefault(name, Row())
    row.files += 1
    try:
        source = open_source(path)
        score = read_score(source)
    except ScoreError as error:
        row.refused += 1
        print(f"{name}: {path.name}: {error}")
        return
    read = sum(len(note.noteheads) for note in score.notes)
    row.counted, row.read = row.counted + sum(source.counted), row.read + read
    told = [warning for warning in score.warnings if "this bar and" in warning]
    row.differ += bool(told)
    for line in told:
        print(f"{name}: {path.name}: {line}")


def _converted(path: Path, folder: Path, convert: Callable[[Path, Path], None]) -> Iterator[Path]:
    made = folder / convert.__name__.removeprefix("_to_")
    made.mkdir(exist_ok=True)
    target = made / path.stem
    child = os.fork()  # a converter may end its process
    if child == 0:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        with quiet(), warnings.catch_warnings(), contextlib.suppress(Exception):
            warnings.simplefilter("ignore")
            convert(path, target)
        os._exit(0)
    os.waitpid(child, 0)
    yield from made.glob(f"{path.stem}.*")


def _toolkit() -> Any:
    import verovio

    verovio.setDefaultResourcePath(str(files("verovio") / "data"))
    return verovio.toolkit()


def _to_mei(path: Path, target: Path) -> None:
    toolkit = _toolkit()
    source = open_source(path)
    toolkit.setOptions({"inputFrom": {"musicxml": "xml"}.get(source.kind, source.kind)})
    if toolkit.loadData(source.text):
        target.with_suffix(".mei").write_text(toolkit.getMEI({}), encoding="utf-8")


def _to_humdrum(path: Path, target: Path) -> None:
    mei = target.parents[1] / "mei" / f"{target.name}.mei"
    if mei.exists():
        text = _toolkit().convertMEIToHumdrum(mei.read_text(encoding="utf-8"))
        target.with_suffix(".krn").write_text(text, encoding="utf-8")


def _to_musicxml(path: Path, target: Path) -> None:
    from music21 import converter

    converter.parse(str(path), forceSource=True).write("musicxml", fp=str(target.with_suffix(".musicxml")))


CONVERSIONS = {"verovio": _to_mei, "verovio from MEI": _to_humdrum, "music21": _to_musicxml}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
