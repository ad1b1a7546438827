"""A command that is stopped from outside says so in one line, and leaves nobody and nothing behind."""

from __future__ import annotations

import fcntl
import os
import signal
import subprocess
import sys
import termios
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


def test_nothing_is_told_after_the_last_line() -> None:
    """A progress bar is drawn by a thread of its own, which goes on while things are put right."""
    program = (
        "import os, signal, threading, time; from sitegen.stopping import listen, when_stopped; listen()\n"
        "def draw():\n    while True: os.write(2, b'drawn\\n')\n"
        "threading.Thread(target=draw, daemon=True).start()\n"
        "stack = when_stopped(lambda: time.sleep(0.2)); stack.__enter__(); signal.raise_signal(signal.SIGTERM)"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 143
    assert done.stderr.replace("drawn\n", "") == "Stopped.\n"
    assert done.stderr.endswith("Stopped.\n")


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no terminals to play with here")
@pytest.mark.parametrize("keys", [b"\x03", b"\x03\x03\x03"], ids=["once", "again and again"])
def test_ctrl_c_in_a_terminal_ends_the_progress_bar(desk: Desk, keys: bytes) -> None:
    keyboard, screen = os.openpty()
    command = [sys.executable, "-m", "sitegen", "build", str(desk.content), "-o", str(desk.site), "-j", "1"]
    environment = desk.environment("terminal") | {"TERM": "xterm"}
    with subprocess.Popen(
        command, stdin=screen, stdout=screen, stderr=screen, env=environment, cwd=desk.root, preexec_fn=_at_a_terminal
    ) as build:
        os.close(screen)
        seen = b""
        try:
            while data := os.read(keyboard, 65536):
                before, seen = seen, seen + data
                if b"march" in seen and b"march" not in before:
                    os.write(keyboard, keys)
        except OSError:  # how Linux says that nobody is there any more
            pass
    os.close(keyboard)
    assert build.returncode == 130, seen
    assert seen.replace(b"^C", b"").endswith(b"\x1b[2K\x1b[?25hStopped.\r\n")
    assert seen.count(b"Stopped.") == 1
    assert b"Traceback" not in seen
    assert os.listdir(desk.temporary) == os.listdir(desk.site.parent) == []


def _at_a_terminal() -> None:
    """Begin a session whose terminal is standard input, as a shell's."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def _children_of(process: subprocess.Popen[bytes]) -> list[str]:
    return Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
