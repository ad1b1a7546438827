"""Whether files are as they were, by what the file system says of them: their contents are not read."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

_TICK = 20_000_000  # nanoseconds that a file system may count as one; where it counts whole seconds, two of these
_COARSE = 2_000_000_000


def stamp_of(place: Path, counts: Callable[[str], bool] = lambda name: True) -> str:
    """Changes whenever a file of ours at or below ``place`` does whose name ``counts``. Size and time tell: what is
    linked from elsewhere has a new inode."""
    found = _states(place, counts)
    return _digest_of((path, state.st_size, state.st_mtime_ns) for path, state in found)


def stamps_of_places(content: Path) -> dict[str, str]:
    """The stamp of everything that lies in the content folder itself, by name. The inode counts, and when it was
    changed too.

    A file that was written just now can be written again without its time changing; so it is waited a moment.
    """
    while True:
        stamps, newest = {}, 0
        for name in os.listdir(content):
            found = list(_states(content / name))
            newest = max([newest, *(state.st_mtime_ns for _, state in found)])
            if not name.startswith("."):
                stamps[name.encode(errors="backslashreplace").decode()] = _digest_of(
                    (path, state.st_size, state.st_mtime_ns, state.st_ino, state.st_ctime_ns) for path, state in found
                )
        tick = _COARSE if newest % 1_000_000_000 == 0 else _TICK
        if not 0 <= (age := time.time_ns() - newest) < tick:
            return stamps
        time.sleep((tick - age) / 1_000_000_000)


def _digest_of(files: Iterable[tuple[Any, ...]]) -> str:
    return hashlib.sha256("\n".join(map(repr, sorted(files))).encode(errors="surrogateescape")).hexdigest()


def _states(place: Path, counts: Callable[[str], bool] = lambda name: True) -> Iterator[tuple[str, os.stat_result]]:
    """Every file at or below ``place`` whose name ``counts``, by its path from there. Links to folders below it are not
    followed: what lies in another folder is no file of the place, and they may lead round and round."""
    root = str(place)
    if not os.path.isdir(root):
        with suppress(OSError):
            yield "", os.stat(root)
        return
    waiting = [""]
    while waiting:
        below = waiting.pop()
        with suppress(OSError), os.scandir(f"{root}/{below}") as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(f"{below}{entry.name}/")
                elif counts(entry.name):
                    with suppress(OSError):
                        yield below + entry.name, entry.stat()
