"""One build at a time into an output: the folder beside it in which a build works, and the lock that lies there.

The lock is the system's own on an open file: it ends with the process that holds it, however that ends.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.stopping import when_stopped

try:
    import fcntl
except ImportError:  # a system without such locks: two builds must not be started there
    fcntl = None  # type: ignore[assignment]

LOCK = "lock"


def workshop_of(output: Path) -> Path:
    """The folder beside ``output`` in which a build works. It is there while a build is, or after one was killed."""
    return output.with_name(f".{output.name}.next")


@contextmanager
def hold_workshop(
    workshop: Path, ours: frozenset[str], waiting: Callable[[], None], put_right: Callable[[], None]
) -> Iterator[None]:
    """The folder ``workshop``, made and held by this build alone; removed afterwards if nothing but the lock is left.

    ``waiting`` is called where another build holds it, which is then waited for; ``put_right`` leaves nothing else in
    it, also where the program is stopped in the midst of anything. Raises ``ContentError`` where the folder is there
    and holds anything but the names in ``ours``: it is somebody else's.
    """
    with when_stopped(workshop.rmdir):  # which it does where nothing is in it
        lock = _take(workshop, ours, waiting)

    def stopped() -> None:
        if _is_at(lock, workshop / LOCK):
            put_right()
        _leave(workshop, lock)

    with when_stopped(stopped):
        try:
            yield
        finally:
            _leave(workshop, lock)
            os.close(lock)


def _leave(workshop: Path, lock: int) -> None:
    """Remove a workshop that is held, unless something is left in it: then its lock tells that it is one of ours."""
    if set(os.listdir(workshop)) == {LOCK} and _is_at(lock, workshop / LOCK):
        # unlinked while it is held: who waits for it sees that it is gone, and begins anew
        (workshop / LOCK).unlink(missing_ok=True)
    with suppress(OSError):
        workshop.rmdir()


def _take(workshop: Path, ours: frozenset[str], waiting: Callable[[], None]) -> int:
    """The open lock, locked, in a folder that is made where it is not there."""
    while True:
        try:
            if workshop.is_symlink():
                raise FileExistsError
            workshop.mkdir(parents=True, exist_ok=True)
            refuse_strangers(workshop, ours)
        except FileExistsError:
            raise _none_of_ours(workshop) from None
        except FileNotFoundError:  # another build has just removed the folder
            continue
        try:
            lock = os.open(workshop / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
        except FileNotFoundError:
            continue
        try:
            _wait_for(lock, waiting)
            if _is_at(lock, workshop / LOCK):
                return lock
        except BaseException:
            os.close(lock)
            raise
        os.close(lock)


def refuse_strangers(workshop: Path, ours: frozenset[str]) -> None:
    """Raise ``ContentError`` for a folder under the name of the workshop that no build has made."""
    names = set(os.listdir(workshop))
    if names and (LOCK not in names or names - ours - {LOCK}):
        raise _none_of_ours(workshop)


def _none_of_ours(workshop: Path) -> ContentError:
    return ContentError("stands where a build works, and is none of ours", "Give it another name.", workshop)


def _wait_for(lock: int, waiting: Callable[[], None]) -> None:
    if fcntl is None:
        return
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        waiting()
        fcntl.flock(lock, fcntl.LOCK_EX)


def _is_at(lock: int, place: Path) -> bool:
    """Whether the open file is the one at ``place``, and no earlier one that has been removed since."""
    try:
        there = os.stat(place)
    except FileNotFoundError:
        return False
    return os.path.samestat(os.fstat(lock), there)
