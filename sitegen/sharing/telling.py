"""What became of a bundle, in lines for whoever brought it in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sitegen.sharing.unpacking import THEIRS, Unpacked

_FILES = (
    ("taken", "taken from the newer version: {}"),
    ("gone", "no longer in the piece: {}"),
    ("kept", "kept as you changed it: {}"),
    ("aside", "changed by you and by them; yours is kept, theirs lies in {theirs}/: {}"),
)


def lines_of(unpacked: Unpacked) -> Iterator[str]:
    """What is told of an unpacked bundle, a line at a time."""
    folder, manifest = unpacked.folder, unpacked.manifest
    version = f"version {len(manifest.history)} of '{manifest.piece.title}'"
    if unpacked.how == "same":
        yield f"{folder}: has {version} already, and stays as it is"
        return
    if unpacked.how == "new":
        yield f"wrote {folder}: {version}"
        yield _next(folder.parent)
        return
    yield f"{folder}: brought to {version}"
    for name, said in _FILES:
        if paths := getattr(unpacked.merged, name):
            yield said.format(", ".join(paths), theirs=folder / THEIRS)
    yield from unpacked.words.splitlines()
    if unpacked.sheet is not None:
        yield f"The bars that differ are drawn in {unpacked.sheet}"
    yield _next(folder.parent)


def _next(content: Path) -> str:
    return "Next: sitegen check" if content == Path("content") else f"Next: sitegen check {content}"
