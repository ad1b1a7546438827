"""Whether files are as they were, by what the file system says of them: their contents are not read."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

_TICK = 20_000_000  # nanoseconds that a file system may count as one; where it counts whole seconds, two of these
_COARSE = 2_000_000_000


def stamp_of(place: Path, *, ours: bool = False) -> str:
    """Changes whenever a file at or below ``place`` does. Of files that are ``ours`` only size and time count: what is
    linked from elsewhere has a new inode."""
    digest = hashlib.sha256()
    for path, state in sorted(_states(place), key=lambda found: found[0]):
        more = () if ours else (state.st_ino, state.st_ctime_ns)
        digest.update(repr((os.path.relpath(path, place), state.st_size, state.st_mtime_ns, *more)).encode())
    return digest.hexdigest()


def stamp_of_files(root: Path, paths: Iterable[str]) -> str:
    """Changes whenever one of these files below ``root`` does, or is not there."""
    digest, start = hashlib.sha256(), str(root)
    for path in sorted(paths):
        try:
            state = os.stat(f"{start}/{path}")
            digest.update(f"{path} {state.st_size} {state.st_mtime_ns}\n".encode())
        except OSError:
            digest.update(f"{path} gone\n".encode())
    return digest.hexdigest()


def stamps_of_places(content: Path) -> dict[str, str]:
    """The stamp of everything that lies in the content folder itself, by name.

    A file that was written just now can be written again without its time changing; so it is waited a moment.
    """
    newest = max((state.st_mtime_ns for _, state in _states(content)), default=0)
    tick = _COARSE if newest % 1_000_000_000 == 0 else _TICK
    if 0 <= (age := time.time_ns() - newest) < tick:
        time.sleep((tick - age) / 1_000_000_000)
    return {place.name: stamp_of(place) for place in content.iterdir() if not place.name.startswith(".")}


def _states(place: Path) -> Iterator[tuple[str, os.stat_result]]:
    """Every file at or below ``place``. Links to folders below it are not followed: what lies in another folder is no
    file of the place, and they may lead round and round."""
    if not place.is_dir():
        with suppress(OSError):
            yield str(place), place.stat()
        return
    waiting = [str(place)]
    while waiting:
        with suppress(OSError), os.scandir(waiting.pop()) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(entry.path)
                else:
                    with suppress(OSError):
                        yield entry.path, entry.stat()
