"""What lies in a folder, as a listing of paths with what can be seen of each without reading it."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Literal

import msgspec

from sitegen.errors import ContentError

PathKind = Literal["file", "folder", "other"]
_HANDS = 16
_MOUNTED = Path("/proc/self/mountinfo")


class Stamp(msgspec.Struct, frozen=True, array_like=True, gc=False):
    """What tells that a file is as it was: its size in bytes, and when it was changed, in nanoseconds. A folder's
    are 0: it changes with what is put into it. Links are not followed: they are ``other``, as sockets are."""

    kind: PathKind
    size: int
    changed: int


FOLDER = Stamp("folder", 0, 0)


def look_through(folder: Path) -> Iterator[tuple[str, Stamp]]:
    """Everything below ``folder`` by its path there, a folder before what it holds, in the order of the names. What
    lies in a folder is taken down before any of it is given.

    Raises ``ContentError`` where another file system is mounted below, ``OSError`` where a folder cannot be read.
    """
    root = str(folder)
    for place in sorted(mount_points()):
        if place.startswith(f"{root}/"):
            raise _mounted(place)
    device = os.lstat(root).st_dev
    waiting = [""]
    while waiting:
        prefix = waiting.pop()
        with os.scandir(f"{root}/{prefix}") as entries:
            found = sorted([(entry.name, entry.stat(follow_symlinks=False)) for entry in entries], key=_name)
        below = []
        for name, seen in found:
            if stat.S_ISREG(seen.st_mode):
                yield prefix + name, Stamp("file", seen.st_size, seen.st_mtime_ns)
                continue
            yield prefix + name, stamp_of(seen)
            if stat.S_ISDIR(seen.st_mode):
                if seen.st_dev != device:
                    raise _mounted(f"{root}/{prefix}{name}")
                below.append(f"{prefix}{name}/")
        waiting += reversed(below)


def mount_points() -> frozenset[str]:
    """The places at which Linux has something mounted. It may be a folder, or a file, of the very same file system,
    which nothing else tells, and which a site that is exchanged would take along. None on other systems."""
    try:
        lines = _MOUNTED.read_bytes().splitlines()
    except OSError:
        return frozenset()
    # the fifth field (proc_pid_mountinfo(5)), with spaces and the like in octal figures
    fields = [line.split()[4] for line in lines]
    return frozenset(os.fsdecode(re.sub(rb"\\(\d{3})", lambda sign: bytes([int(sign[1], 8)]), one)) for one in fields)


def _mounted(place: str) -> ContentError:
    return ContentError("is a file system of its own", "Mount it outside of the site.", place)


def _name(found: tuple[str, os.stat_result]) -> str:
    return found[0]


def stamp_of(seen: os.stat_result) -> Stamp:
    """What ``os.lstat`` tells, as a stamp."""
    if stat.S_ISDIR(seen.st_mode):
        return FOLDER
    return Stamp("file" if stat.S_ISREG(seen.st_mode) else "other", seen.st_size, seen.st_mtime_ns)


def stamp(place: Path | str) -> Stamp | None:
    """What lies at ``place``; None for nothing."""
    try:
        return stamp_of(os.lstat(place))
    except (FileNotFoundError, NotADirectoryError):
        return None


def folders_of(paths: Iterable[str]) -> set[str]:
    """All folders in which ``paths`` lie: ``a`` and ``a/b`` for ``a/b/c``."""
    found = {path.rpartition("/")[0] for path in paths}
    waiting = list(found)
    while waiting:
        above = waiting.pop().rpartition("/")[0]
        if above not in found:
            found.add(above)
            waiting.append(above)
    found.discard("")
    return found


def remove_folders(folder: Path, below: Iterable[str]) -> bool:
    """Remove the folders with these paths ``below`` a folder, the deepest first. False where something lies in one of
    them, which stays."""
    by_depth: dict[int, list[str]] = {}
    for path in below:
        by_depth.setdefault(path.count("/"), []).append(f"{folder}/{path}")
    empty = True
    # a file system may take milliseconds to remove a folder, in which others can be removed
    with ThreadPoolExecutor(_HANDS) as hands:
        for depth in sorted(by_depth, reverse=True):
            shares = [by_depth[depth][hand::_HANDS] for hand in range(_HANDS)]
            empty &= all(list(hands.map(_remove_all, shares)))
    return empty


def _remove_all(folders: list[str]) -> bool:
    removed = [remove_folder(folder) for folder in folders]
    return all(removed)


def remove_folder(folder: Path | str) -> bool:
    """Whether ``folder`` was empty and is removed."""
    try:
        os.rmdir(folder)
    except OSError:
        return False
    return True
