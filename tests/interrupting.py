"""A command of this program stopped from outside at some moment, and what it leaves."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

CODES = {signal.SIGINT: 130, signal.SIGTERM: 143}
_MARK = "SITEGEN_TRIAL"  # in the environment of the command, and so of whatever it starts


@dataclass(frozen=True, slots=True)
class Stopped:
    """How a command ended: its exit code and what it wrote on standard error after the signal, how many ``seconds``
    that took, the processes that it left, and the paths left in its folder of temporary files and beside its output.
    One that had come to its end was not stopped: it ``ended``."""

    ended: bool
    code: int
    told: str
    seconds: float
    orphans: tuple[int, ...]
    left: tuple[str, ...]

    def faults(self, number: signal.Signals) -> list[str]:
        """What is not as it must be."""
        if self.ended:
            return []
        lines = [line for line in self.told.splitlines() if line]
        faults = [] if self.code == CODES[number] else [f"exit code {self.code}"]
        if "Traceback" in self.told or "Error" in self.told:
            faults.append("traceback")
        elif not lines or lines[-1] != "Stopped.":
            faults.append(f"last words {lines[-1:]}")
        return faults + [f"orphan {one}" for one in self.orphans] + [f"left {path}" for path in self.left]


class Desk:
    """A folder with what commands need: ``content``, a ``store``, ``temporary`` files, and ``desk/site`` for the
    output."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.content, self.site = root / "content", root / "desk" / "site"
        self.temporary = root / "temporary"
        for folder in (self.temporary, self.site.parent):
            folder.mkdir(parents=True, exist_ok=True)

    def clear(self, store: bool) -> None:
        """As before the first command; with an empty store if so wished."""
        for folder in (self.temporary, self.site.parent):
            shutil.rmtree(folder)
            folder.mkdir()
        if store:
            shutil.rmtree(self.root / "store", ignore_errors=True)

    def environment(self, mark: str) -> dict[str, str]:
        """The environment of a command."""
        given = {"SITEGEN_CACHE": str(self.root / "store"), "TMPDIR": str(self.temporary), _MARK: mark}
        return os.environ | given | {"PYTHONPATH": str(Path(__file__).parents[1])}

    def stop(
        self, command: Sequence[str | Path], number: signal.Signals, seen: Callable[[subprocess.Popen[bytes]], bool]
    ) -> Stopped:
        """Start a command, stop it when it is ``seen`` to be where it is wanted, and look at what it leaves. A keyboard
        would tell all processes of its group, and so does this."""
        mark = f"{os.getpid()}-{time.monotonic_ns()}"
        kept = sorted(path.name for path in self.site.parent.iterdir())
        with (self.root / "told").open("w+b") as told:
            process = subprocess.Popen(
                [sys.executable, "-m", "sitegen", *map(str, command)],
                env=self.environment(mark),
                cwd=self.root,
                stdout=subprocess.DEVNULL,
                stderr=told,
                start_new_session=True,
                preexec_fn=hear_the_keyboard,
            )
            while process.poll() is None and not seen(process):
                time.sleep(0.002)
            before, began = told.tell(), time.monotonic()
            ended = process.poll() is not None
            if not ended:
                tell = os.killpg if number == signal.SIGINT else os.kill
                tell(process.pid, number)
            code = process.wait(timeout=120)
            seconds = time.monotonic() - began
            ended = ended or code in (0, 1)
            orphans = _left_running(mark)
            told.seek(0)
            words = told.read()[before if ended else 0 :].decode(errors="replace")
        left = [path.name for path in self.temporary.iterdir()]
        left += sorted({path.name for path in self.site.parent.iterdir()} - {*kept, self.site.name})
        return Stopped(ended, code, words, seconds, orphans, tuple(left))


def _left_running(mark: str, patience: float = 1.0) -> tuple[int, ...]:
    """The processes with ``mark`` in their environment that are still there after a while."""
    end = time.monotonic() + patience
    while found := _marked(mark):
        if time.monotonic() > end:
            break
        time.sleep(0.02)
    return found


def _marked(mark: str) -> tuple[int, ...]:
    wanted, found = f"{_MARK}={mark}".encode(), []
    for place in Path("/proc").glob("[0-9]*/environ"):
        try:
            if wanted in place.read_bytes():
                found.append(int(place.parent.name))
        except OSError:
            continue
    return tuple(found)


def hear_the_keyboard() -> None:
    """Ctrl-C reaches the command also where the tests run in the background, for which a shell has it ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
