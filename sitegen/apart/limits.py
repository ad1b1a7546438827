"""What a child may take: processor time for each step of its work, and memory."""

from __future__ import annotations

import os
import signal
from contextlib import suppress
from dataclasses import dataclass

SECONDS = 60.0
"""Processor time of a step: the longest of a long sonata movement takes two or three."""
MEMORY = 1_500_000_000
"""Bytes: a score of 5,000 notes takes a quarter of it."""
LEAST_MEMORY = 300_000_000
"""Bytes without which the program cannot even load its libraries."""

_NOTE = 50_000  # bytes that analysis needs for each note of a long score
_WAITING = 5  # by the clock a step may take so much longer than it may work: others work beside it


@dataclass(frozen=True, slots=True)
class Limits:
    """``seconds`` of processor time for a step, ``memory`` in bytes for all of a child."""

    seconds: float = SECONDS
    memory: int = MEMORY

    @property
    def clock(self) -> float:
        """Seconds by the clock after which a step is given up that does not even work."""
        return self.seconds * _WAITING

    @property
    def notes(self) -> int:
        """How many notes of a score there is memory for."""
        return self.memory // _NOTE

    @property
    def memory_said(self) -> str:
        """The memory in words, ``1.5 GB``."""
        return f"{self.memory / 1e9:g} GB" if self.memory >= 10**9 else f"{self.memory / 1e6:g} MB"


USUAL = Limits()

_in_force: Limits | None = None


def limits_here() -> Limits | None:
    """The limits under which this process works; None where it is no child."""
    return _in_force


def keep_within(limits: Limits) -> None:
    """Keep this process within the limits of memory, where the system can, and have it leave no image of itself."""
    global _in_force
    _in_force = limits
    with suppress(ImportError, OSError, ValueError):
        import resource

        resource.setrlimit(resource.RLIMIT_DATA, (limits.memory, limits.memory))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def begin_step(limits: Limits) -> None:
    """Count the time of a step from now on. Who works longer is ended by the system, also in the midst of native
    code."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_PROF, limits.seconds)


def end_step() -> None:
    """Count no longer."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_PROF, 0)


def is_large(limits: Limits) -> bool:
    """Whether this process still holds more than half of the memory that it may: what earlier work has left should not
    be counted against the next."""
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            pages = int(file.read().split()[5])
    except (OSError, ValueError, IndexError):
        return False
    return pages * os.sysconf("SC_PAGE_SIZE") > limits.memory // 2


def end_with(parent: int) -> None:
    """Have this process killed when its ``parent`` is gone, however that ended; where the system cannot, it ends when
    it next asks for work."""
    with suppress(ImportError, OSError, AttributeError):
        import ctypes

        ctypes.CDLL(None).prctl(1, signal.SIGKILL, 0, 0, 0)  # PR_SET_PDEATHSIG
    if os.getppid() != parent:
        os._exit(0)
