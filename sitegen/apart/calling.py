"""Children from the side of the parent: started isolated, given work, ended."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from sitegen.apart.limits import Limits
from sitegen.apart.serving import (
    DEFECT,
    DONE_AND_LARGE,
    MADE,
    NO_MEMORY,
    RAISED,
    error_from,
    read_message,
    write_message,
)
from sitegen.stopping import when_stopped

_ROOT = str(Path(__file__).parents[2])
#: The program is found where this one lies, whatever else is called so; then the child knows the parent's path.
_BEGIN = (
    "import sys; sys.path.insert(0, sys.argv[1]); import sitegen; del sys.path[0]; "
    "from sitegen.apart.serving import serve; serve()"
)
BROKEN_DOWN = "Export the score again, or split it."
"""What can be done about what breaks the program down."""

_LAST_WORDS = 4096  # bytes of what a child wrote on standard error


class Failure(Exception):  # noqa: N818 - what it means, the caller says
    """Work that was not done: the child ended (``ended``), or the program has a defect. The message says which, and
    goes on from who did it; ``remedy`` is what can be done. It ``may_go_better`` in a new child."""

    def __init__(self, what: str, remedy: str, ended: bool = True, may_go_better: bool = True) -> None:
        super().__init__(what)
        self.remedy = remedy
        self.ended = ended
        self.may_go_better = ended and may_go_better


@dataclass(frozen=True, slots=True)
class Reply:
    """What a child says: it has ``made`` something, or is done (None); a ``large`` one should be given no more work."""

    made: bytes | None
    large: bool = False


class Child:
    """A process that does one call after the other, under ``limits``. It sees neither the current folder's modules nor
    the terminal, and ends with this process."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._overdue = False
        self._asked = 0  # calls that are not done
        self._clock: threading.Timer | None = None
        self._turn = threading.Lock()  # who calls and who hears the replies may be two
        self._errors = None if os.environ.get("SITEGEN_DEBUG") else _nameless_file()
        flags = ["-B"] if sys.dont_write_bytecode else []
        self._process = subprocess.Popen(
            [sys.executable, *flags, "-P", "-s", "-c", _BEGIN, _ROOT],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            env={name: value for name, value in os.environ.items() if name != "PYTHONPATH"},
            start_new_session=True,
        )
        told = {
            "path": [place for place in sys.path if place],
            "parent": os.getpid(),
            "seconds": limits.seconds,
            "memory": limits.memory,
        }
        self._send(json.dumps(told).encode())

    def call(self, function: str, data: bytes) -> None:
        """Have it call a function, ``module:name``, with ``data``; ``reply`` gives what comes of it."""
        self._count(1)
        self._send(function.encode() + b"\n" + data)

    def reply(self) -> Reply:
        """The next reply. Raises ``Failure``, and the ``SitegenError`` or ``OSError`` that the function raised."""
        assert self._process.stdout is not None
        message = read_message(self._process.stdout)
        if message is None:
            self._stop_clock()
            raise self._failure()
        kind, data = message
        self._count(0 if kind == MADE else -1)
        if kind == NO_MEMORY:
            raise self._no_memory()
        if kind == RAISED:
            raise error_from(data)
        if kind == DEFECT:
            raise Failure(data.decode(), "", ended=False)
        return Reply(data) if kind == MADE else Reply(None, kind == DONE_AND_LARGE)

    def kill(self) -> None:
        """Kill it, whatever it does, and don't wait for that."""
        self._process.kill()

    def end(self) -> None:
        """End it, whatever it does."""
        self._stop_clock()
        self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout, self._errors):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()

    def _send(self, data: bytes) -> None:
        assert self._process.stdin is not None
        with suppress(OSError):  # one that is gone does not reply either
            write_message(self._process.stdin, MADE, data)

    def _count(self, calls: int) -> None:
        """Count a call that is made (1) or done (-1), and begin to wait anew as long as one is not done."""
        with self._turn:
            self._asked += calls
            self._stop_clock()
            if self._asked:
                self._clock = threading.Timer(self.limits.clock, self._give_up)
                self._clock.daemon = True
                self._clock.start()

    def _stop_clock(self) -> None:
        if self._clock is not None:
            self._clock.cancel()
            self._clock = None

    def _give_up(self) -> None:
        self._overdue = True
        self._process.kill()

    def _failure(self) -> Failure:
        code = self._process.wait()
        if self._overdue or code == -getattr(signal, "SIGPROF", 0):
            remedy = "Split the work into movements, or allow more with --seconds."
            return Failure(f"took more than {self.limits.seconds:g} seconds", remedy, may_go_better=False)
        words = b""
        if self._errors is not None:
            self._errors.seek(max(0, self._errors.seek(0, os.SEEK_END) - _LAST_WORDS))
            words = self._errors.read()
        if b"bad_alloc" in words or b"MemoryError" in words:
            return self._no_memory()
        return Failure("broke down", BROKEN_DOWN)

    def _no_memory(self) -> Failure:
        remedy = "Split the work into movements, or allow more with --memory."
        return Failure(f"needs more than {self.limits.memory_said} of memory", remedy)


def call_apart(function: str, data: bytes, limits: Limits) -> Iterator[bytes]:
    """What a function, ``module:name``, gives for ``data`` in a child of its own. Raises as ``Child.reply``."""
    child = Child(limits)
    with when_stopped(child.kill):
        try:
            child.call(function, data)
            while (reply := child.reply()).made is not None:
                yield reply.made
        finally:
            child.end()


def _nameless_file() -> IO[bytes]:
    """A file that is gone when nobody has it open."""
    if hasattr(os, "memfd_create"):
        return os.fdopen(os.memfd_create("said"), "w+b")
    return tempfile.TemporaryFile()
