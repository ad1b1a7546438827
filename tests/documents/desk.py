"""A folder in which the commands of a document are given, one after the other, as its reader gives them."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path

from tests.documents.varying import agrees
from tests.interrupting import hear_the_keyboard

ROOT = Path(__file__).resolve().parents[2]
#: Commands that go on until they are stopped.
_SERVES = re.compile(r"^(sitegen|python -m sitegen) preview\b|^python -m http\.server\b")
_ADDRESS = re.compile(r"http://[0-9.]+:\d+/")
_PATIENCE = 300  # seconds after which a command that serves is taken for one that hangs


@dataclass(slots=True)
class Desk:
    """``folder`` is where commands are given; ``program`` the folder from which ``sitegen`` and ``tests`` are loaded,
    the project's own unless a document changes the program. ``$PROJECT`` is the project's folder in every command."""

    folder: Path
    program: Path = ROOT
    environment: dict[str, str] = field(default_factory=dict)
    here: Path = field(init=False)

    def __post_init__(self) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        self.here = self.folder

    def run(self, command: str) -> tuple[str, int]:
        """What ``command`` prints, standard error among it, and its exit code. A ``cd`` in it holds from then on."""
        with self._tools() as environment:
            at = self.folder.parent / f".{self.folder.name}-at"
            script = f'{command}\ncode=$?; pwd > "{at}"; exit $code'
            ran = subprocess.run(
                ["bash", "-c", script], cwd=self.here, env=environment, stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False,
            )  # fmt: skip
        with suppress(OSError):
            self.here = Path(at.read_text().strip())
        return self._as_told(ran.stdout), ran.returncode

    def serve(self, command: str, shown: str) -> tuple[str, int]:
        """What a ``command`` that goes on has printed once it agrees with what is ``shown``, or when it has ended
        before. Every address of this machine that it names is opened, then it is stopped; the code is 0 where one
        opens."""
        with self._tools() as environment:
            process = subprocess.Popen(
                ["bash", "-c", f"exec {command}"], cwd=self.here, env=environment, stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE, stderr=subprocess.STDOUT, start_new_session=True,
                preexec_fn=hear_the_keyboard,
            )  # fmt: skip
            printed, opened = "", 0
            assert process.stdout is not None
            os.set_blocking(process.stdout.fileno(), False)
            waited_until = time.monotonic() + _PATIENCE
            try:
                while time.monotonic() < waited_until and process.poll() is None:
                    printed += (process.stdout.read() or b"").decode()
                    if agrees(shown, self._as_told(printed)):
                        break
                    time.sleep(0.2)
                if process.poll() is None:
                    opened = sum(map(_opens, _ADDRESS.findall(printed)))
            finally:
                if process.poll() is None:
                    os.killpg(process.pid, signal.SIGINT)
                rest, _ = process.communicate()
                printed += "" if opened else rest.decode()
        return self._as_told(printed), 0 if opened else 1

    def serves(self, command: str) -> bool:
        """Whether ``command`` goes on until it is stopped."""
        return _SERVES.match(command) is not None

    @contextmanager
    def copied(self) -> Iterator[Desk]:
        """A copy of all that lies here, which is gone afterwards."""
        copy = self.folder.with_name(f"{self.folder.name}-copy")
        shutil.copytree(self.folder, copy, symlinks=True)
        try:
            desk = Desk(copy, self.program, self.environment)
            desk.here = copy / self.here.relative_to(self.folder)
            yield desk
        finally:
            shutil.rmtree(copy)

    def _as_told(self, printed: str) -> str:
        """What was printed, without where on this machine it was."""
        return printed.replace(f"{self.folder}/", "").replace(str(self.folder), ".")

    @contextmanager
    def _tools(self) -> Iterator[dict[str, str]]:
        """The environment of a command: ``sitegen`` and ``python`` are those that run this test."""
        tools = self.folder.parent / f".{self.folder.name}-tools"
        tools.mkdir(exist_ok=True)
        for name, told in (("python", ""), ("python3", ""), ("sitegen", "-m sitegen ")):
            tool = tools / name
            tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" {told}"$@"\n', encoding="utf-8")
            tool.chmod(0o755)
        yield {
            **os.environ,
            "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(self.program),
            "PROJECT": str(ROOT),
            "LC_ALL": "C.UTF-8",
            "COLUMNS": "80",
            "PYTHONUNBUFFERED": "1",
            **self.environment,
        }


def _opens(address: str) -> bool:
    """Whether a page of this machine is there."""
    if not address.startswith(("http://127.0.0.1:", "http://0.0.0.0:")):
        return False
    with urllib.request.urlopen(address) as page:
        return bool(page.status == HTTPStatus.OK)
