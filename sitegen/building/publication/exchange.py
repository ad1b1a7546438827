"""Two folders exchanged in one step, so that nobody ever finds neither."""

from __future__ import annotations

import ctypes
import errno
import os
from functools import cache
from pathlib import Path
from typing import Any

_HERE = -100  # AT_FDCWD: paths are relative to the current folder
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux
_UNKNOWN = frozenset({errno.ENOSYS, errno.EINVAL, errno.ENOTSUP})


def put_in_place(staged: Path, output: Path, previous: Path) -> Path | None:
    """Put the folder ``staged`` in the place of ``output``. What was there is then at the path returned: None where
    nothing was, ``staged`` after an exchange, ``previous`` where the system cannot exchange and renames twice.
    """
    if not output.exists():
        staged.rename(output)
        return None
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


@cache
def _renameat2() -> Any:
    """The call of Linux that exchanges two names; None elsewhere."""
    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return None
    call.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
    call.restype = ctypes.c_int
    return call
