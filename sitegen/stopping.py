"""Ended from outside: Ctrl-C, SIGTERM, a terminal that is closed.

The program then says so in one line, puts right what it has begun, and is gone within a second; its exit code is 128
and the number of the signal, as shells have it. Nothing is raised, for an exception could come up in the midst of
anything: where the program stands it goes no further, as if it were killed, and what has to be put right then is what
was named by ``when_stopped``.
"""

from __future__ import annotations

import atexit
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")
_LONGEST = 0.7  # seconds for putting right; what is left then, the next run puts right as after a kill
_CLEAN_LINE = b"\r\x1b[2K\x1b[?25h"  # a progress bar hides the cursor

_to_put_right: list[Callable[[], None]] = []


@contextmanager
def when_stopped(put_right: Callable[[], None]) -> Iterator[None]:
    """Within it, ``put_right`` is called where the program is stopped; what was named last is called first."""
    _to_put_right.append(put_right)
    try:
        yield
    finally:
        _to_put_right.remove(put_right)


def at_any_end(put_right: Callable[[], None]) -> None:
    """Call ``put_right`` when the program ends, by itself or from outside."""
    atexit.register(put_right)
    _to_put_right.append(put_right)


def listen() -> dict[int, object]:
    """Stop from now on when told to; what was done at these signals before. A signal that whoever started the program
    wants ignored (``nohup``) stays so."""
    if threading.current_thread() is not threading.main_thread():
        return {}
    before: dict[int, object] = {}
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) not in (signal.SIG_IGN, _stop):
            before[number] = signal.signal(number, _stop)
    return before


def listen_no_more() -> None:
    """What has come to its end is not stopped any more, whatever it still tidies."""
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is _stop:
            signal.signal(number, signal.SIG_IGN)


@contextmanager
def listening() -> Iterator[None]:
    """Stop when told to, within it."""
    before = listen()
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)  # type: ignore[arg-type]


def _stop(number: int, frame: FrameType | None) -> None:
    del frame
    for name in _SIGNALS:
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    if hasattr(signal, "setitimer"):
        signal.signal(signal.SIGALRM, lambda *_: os._exit(128 + number))
        signal.setitimer(signal.ITIMER_REAL, _LONGEST)
    with suppress(OSError, ValueError, AttributeError):
        told = b"Stopped.\n"
        _say_last(_CLEAN_LINE + told if sys.stderr.isatty() else told)
    for put_right in reversed(_to_put_right):
        with suppress(Exception):
            put_right()
    os._exit(128 + number)


def _say_last(line: bytes) -> None:
    """Write ``line`` on standard error, and nothing after it: the thread of a progress bar goes on to draw."""
    screen = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    os.write(screen, line)
