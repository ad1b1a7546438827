"""A command that is stopped from outside says so in one line, and leaves nobody and nothing behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sitegen.building.publication import hold_output
from tests.building.studio import musicxml, tree_of, write_content
from tests.interrupting import Desk

BOTH = (signal.SIGINT, signal.SIGTERM)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    write_content(desk.content, march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    return desk


def something_is_made(desk: Desk) -> Callable[[subprocess.Popen[bytes]], bool]:
    """Whether a worker has made its first step."""
    return lambda process: any(place.is_file() for place in (desk.root / "store" / "results").rglob("*"))


def it_is_told(desk: Desk, words: str) -> Callable[[subprocess.Popen[bytes]], bool]:
    """Whether the command has said this."""
    return lambda process: words in (desk.root / "told").read_text(errors="replace")


@pytest.mark.parametrize("number", BOTH)
@pytest.mark.parametrize("command", ["build", "check"])
def test_stopped_while_workers_run(desk: Desk, command: str, number: signal.Signals) -> None:
    arguments = [command, desk.content, *(["-o", desk.site] if command == "build" else [])]
    stopped = desk.stop(arguments, number, something_is_made(desk))
    assert not stopped.ended
    assert stopped.faults(number) == []
    assert not desk.site.exists()


@pytest.mark.parametrize("number", BOTH)
def test_stopped_while_another_build_is_waited_for(desk: Desk, number: signal.Signals) -> None:
    with hold_output(desk.site, desk.content):
        waits = it_is_told(desk, "waiting for it to end")
        stopped = desk.stop(["build", desk.content, "-o", desk.site, "-j", "0"], number, waits)
    assert not stopped.ended
    assert stopped.faults(number) == []


@pytest.mark.parametrize(("command", "number"), [("analyse", signal.SIGINT), ("start", signal.SIGTERM)])
def test_stopped_while_a_score_is_read_apart(desk: Desk, command: str, number: signal.Signals) -> None:
    arguments = [command, desk.content / "march" / "score.musicxml", *(["--name", "new"] if command == "start" else [])]
    before = tree_of(desk.content)
    stopped = desk.stop(arguments, number, lambda process: bool(_children_of(process)))
    assert not stopped.ended
    assert stopped.faults(number) == []
    assert tree_of(desk.content) == before


@pytest.mark.parametrize("number", BOTH)
def test_a_preview_is_stopped_while_it_makes_pages(desk: Desk, number: signal.Signals) -> None:
    stopped = desk.stop(["preview", desk.content, "--port", "0"], number, something_is_made(desk))
    assert stopped.faults(number) == []


def test_what_is_to_be_ignored_stays_ignored() -> None:
    """As with ``nohup``, or where a shell starts something behind."""
    program = (
        "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN); from sitegen.stopping import listen; listen(); "
        "signal.raise_signal(signal.SIGINT); print('went on')"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout == "went on\n"


def test_putting_right_that_takes_long_is_left_to_the_next_time() -> None:
    program = (
        "import signal, time; from sitegen.stopping import listen, when_stopped; listen(); "
        "stack = when_stopped(lambda: time.sleep(600)); stack.__enter__(); signal.raise_signal(signal.SIGTERM)"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (143, "Stopped.\n")


def _children_of(process: subprocess.Popen[bytes]) -> list[str]:
    return Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
