"""What lies in a folder, as a listing of paths with what can be seen of each without reading it."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Literal, NamedTuple

from sitegen.errors import ContentError

Kind = Literal["file", "folder", "other"]
_HANDS = 16


class Stamp(NamedTuple):
    """What tells that a file is as it was: its size in bytes, and when it was changed, in nanoseconds. A folder's
    are 0: it changes with what is put into it. Links are not followed: they are ``other``, as sockets are."""

    kind: Kind
    size: int
    changed: int


FOLDER = Stamp("folder", 0, 0)


def look_through(folder: Path) -> dict[str, Stamp]:
    """Everything below ``folder`` by its path there, a folder before what it holds, in the order of the names.

    Raises ``ContentError`` where another file system is mounted below, ``OSError`` where a folder cannot be read.
    """
    found: dict[str, Stamp] = {}
    _look(str(folder), "", os.lstat(folder).st_dev, found)
    return found


def _look(place: str, prefix: str, device: int, found: dict[str, Stamp]) -> None:
    with os.scandir(place) as entries:
        for entry in sorted(entries, key=lambda entry: entry.name):
            seen = entry.stat(follow_symlinks=False)
            path = prefix + entry.name
            found[path] = stamp_of(seen)
            if stat.S_ISDIR(seen.st_mode):
                if seen.st_dev != device:
                    raise ContentError("is a file system of its own", "Mount it outside of the site.", entry.path)
                _look(entry.path, f"{path}/", device, found)


def stamp_of(seen: os.stat_result) -> Stamp:
    """What ``os.lstat`` tells, as a stamp."""
    if stat.S_ISDIR(seen.st_mode):
        return FOLDER
    kind: Kind = "file" if stat.S_ISREG(seen.st_mode) else "other"
    return Stamp(kind, seen.st_size, seen.st_mtime_ns)


def stamp(place: Path | str) -> Stamp | None:
    """What lies at ``place``; None for nothing."""
    try:
        return stamp_of(os.lstat(place))
    except (FileNotFoundError, NotADirectoryError):
        return None


def folders_of(paths: Iterable[str]) -> set[str]:
    """All folders in which ``paths`` lie: ``a`` and ``a/b`` for ``a/b/c``."""
    found: set[str] = set()
    for path in paths:
        above = path.rpartition("/")[0]
        while above and above not in found:
            found.add(above)
            above = above.rpartition("/")[0]
    return found


def remove_listed(folder: Path, listing: Mapping[str, Stamp], last: str) -> bool:
    """Remove what is listed below ``folder``, its file ``last`` after all else, then the folder itself. False where
    something that is not listed lies in it, which stays."""
    by_depth: dict[int, list[str]] = {}
    for path, seen in listing.items():
        if seen.kind == "folder":
            by_depth.setdefault(path.count("/"), []).append(f"{folder}/{path}")
        elif path != last:
            with suppress(FileNotFoundError):
                os.unlink(f"{folder}/{path}")
    empty = True
    # a file system may take milliseconds to remove a folder, in which others can be removed
    with ThreadPoolExecutor(_HANDS) as hands:
        for depth in sorted(by_depth, reverse=True):
            empty &= all(list(hands.map(_removed, by_depth[depth])))
    (folder / last).unlink(missing_ok=True)
    return _removed(str(folder)) and empty


def _removed(folder: str) -> bool:
    """Whether ``folder`` was empty and is removed."""
    try:
        os.rmdir(folder)
    except OSError:
        return False
    return True
