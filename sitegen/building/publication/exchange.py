"""Two folders exchanged in one step, so that nobody ever finds neither."""

from __future__ import annotations

import ctypes
import errno
import os
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

_HERE = -100  # AT_FDCWD: paths are relative to the current folder
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux
_UNKNOWN = frozenset({errno.ENOSYS, errno.EINVAL, errno.ENOTSUP})


def put_in_place(staged: Path, output: Path, previous: Path) -> Path | None:
    """Put the folder ``staged`` in the place of ``output``. What was there is then at the path returned: None where
    nothing was, ``staged`` after an exchange, ``previous`` where the system cannot exchange and renames twice. Where
    the current folder is ``output`` or lies in it, it is so in the new one too: paths that start from it go on to hold.
    """
    if not output.exists():
        staged.rename(output)
        return None
    here = _current_folder()
    old = _change_places(staged, output, previous)
    if here is not None and here.is_relative_to(output):
        with suppress(OSError):  # the new one may lack it
            os.chdir(here)
    return old


def _change_places(staged: Path, output: Path, previous: Path) -> Path:
    if exchange(staged, output):
        return staged
    output.rename(previous)
    try:
        staged.rename(output)
    except OSError:
        previous.rename(output)
        raise
    return previous


def exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step. False where the system or the file system cannot. Raises ``OSError``."""
    call = _renameat2()
    if call is None:
        return False
    if call(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in _UNKNOWN:
        return False
    raise OSError(number, os.strerror(number), str(other))


def _current_folder() -> Path | None:
    try:
        return Path.cwd()
    except OSError:  # it has been removed
        return None


def bring_to_disk(staged: Path) -> None:
    """Have what was written below ``staged`` lie on the disk before it gets its place: a file system may take a name
    down at once and the bytes half a minute later, and lose these with the power. One call for all files: one a file
    would take minutes for a first site. Where the system lacks it nothing is done; a loss of power may then leave files
    without their bytes, which the next build tells from its manifest."""
    call = _call_of_system("syncfs")
    if call is None:
        return
    folder = os.open(staged, os.O_RDONLY)
    try:
        call(folder)
    finally:
        os.close(folder)


def _call_of_system(name: str) -> Any:
    """The call of this name; None where the system has none."""
    try:
        return getattr(ctypes.CDLL(None, use_errno=True), name)
    except (OSError, AttributeError, TypeError):
        return None


@cache
def _renameat2() -> Any:
    """The call of Linux that exchanges two names; None elsewhere."""
    call = _call_of_system("renameat2")
    if call is None:
        return None
    call.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
    call.restype = ctypes.c_int
    return call
