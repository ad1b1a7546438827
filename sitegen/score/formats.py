"""Score files by their endings, and their bytes: all that is known of one before it is opened."""

from __future__ import annotations

from pathlib import Path

from sitegen.errors import ScoreError

LARGEST_FILE = 32 * 1024 * 1024
_SUFFIXES: dict[str, str] = {
    ".musicxml": "musicxml",
    ".xml": "musicxml",
    ".mxl": "musicxml",
    ".mei": "mei",
    ".krn": "humdrum",
    ".abc": "abc",
}
SUFFIXES = tuple(_SUFFIXES)


def read_bytes(path: Path) -> bytes:
    """What a score file holds. Raises ``ScoreError`` for one that is of no known format, too large, or not there."""
    kind_of(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise ScoreError(f"larger than {LARGEST_FILE >> 20} MiB", "Split the work into movements.", path)
        if path.exists() and not path.is_file():
            raise ScoreError("is a folder, not a file", "Name the score file itself.", path)
        return path.read_bytes()
    except OSError as error:
        raise ScoreError(f"cannot be read: {error.strerror}", "Check the name and the rights.", path) from error


def kind_of(path: Path) -> str:
    """The format that the ending of a score file stands for. Raises ``ScoreError`` where there is none."""
    kind = _SUFFIXES.get(path.suffix.lower())
    if kind is None:
        remedy = f"Export MusicXML from your notation program; what is read ends in {', '.join(SUFFIXES)}."
        raise ScoreError(f"'{path.suffix}' is not a score format" if path.suffix else "has no ending", remedy, path)
    return kind
