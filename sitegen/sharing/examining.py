"""What lies in a bundle, looked at as a piece of the library would be, before anything of it is put anywhere."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from sitegen.apart import Failure, Limits, call_apart
from sitegen.errors import ContentError, ScoreError, SitegenError, each_fault
from sitegen.library.folders import PIECE
from sitegen.score.formats import SUFFIXES
from sitegen.sharing.contents import could_run, files_of, piece_in
from sitegen.sharing.manifest import ASK
from sitegen.sharing.reading import Bundle


def write_files(files: dict[str, bytes], folder: Path) -> None:
    """Write ``files`` by their paths below ``folder``."""
    for path, data in files.items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)


def examine(bundle: Bundle, file: Path, limits: Limits) -> None:
    """Raise ``ContentError``, one line naming ``file`` and the place in it, where a bundle holds no piece that can be
    read: its fields, its commentary, its scores (read apart, within ``limits``), or files that it does not use."""
    with tempfile.TemporaryDirectory(prefix="sitegen-bundle-") as made:
        folder = Path(made) / bundle.manifest.name
        write_files(dict(bundle.files), folder)
        refuse_harm(bundle, folder, file)
        try:
            read_scores(folder, bundle.files, limits)
        except SitegenError as error:
            raise _in_bundle(each_fault(error)[0], folder, file) from error


def refuse_harm(bundle: Bundle, folder: Path, file: Path) -> None:
    """Raise ``ContentError`` for whatever is wrong with a bundle, unpacked in ``folder``, but for its scores."""
    try:
        piece = piece_in(folder)
        if fault := could_run(piece):
            raise fault
        used = files_of(piece).keys()
        if unused := sorted(bundle.files.keys() - used):
            raise ContentError(f"is not used by {PIECE}", ASK, folder / unused[0])
    except SitegenError as error:
        raise _in_bundle(each_fault(error)[0], folder, file) from error


def read_scores(folder: Path, paths: Iterable[str], limits: Limits) -> None:
    """Read those of the files at these ``paths`` below ``folder`` that are in a score's format, apart and within
    ``limits``. Raises ``ScoreError`` for the first that cannot be read."""
    for score in (folder / path for path in sorted(paths) if path.lower().endswith(SUFFIXES)):
        try:
            for _ in call_apart(f"{__name__}:read_apart", json.dumps(str(score)).encode(), limits):
                pass
        except Failure as failure:
            raise ScoreError(f"the program that reads it {failure}", failure.remedy, score) from failure


def read_apart(data: bytes) -> Iterator[bytes]:
    """In a child: read a score, and give nothing."""
    from sitegen.score import read_score
    from sitegen.score.sources import open_source

    source = open_source(Path(json.loads(data)))
    if not read_score(source).notes:
        raise ScoreError("holds no notes", "Check the export: only rests were found.", source.file)
    yield b""


def _in_bundle(fault: SitegenError, folder: Path, file: Path) -> ContentError:
    """A fault of a file that was unpacked to be looked at, as one of the file in the bundle."""
    where = Path(str(fault.file)) if fault.file is not None else folder
    inside = where.relative_to(folder).as_posix() if where.is_relative_to(folder) else where.name
    place = str(file) if inside == "." else f"{file}: {inside}"
    return ContentError(fault.what, fault.remedy, place, fault.line, fault.bar)
