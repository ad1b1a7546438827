"""A module that lies in the current folder is not run: neither by the command, nor by a process that it starts."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.building.studio import musicxml, write_content

ROOT = Path(__file__).parents[1]
#: Of our libraries, of Python's own, and of this program; those that Python loads itself before anything of ours are
#: found by ``-m`` where it looks first, and nothing of ours can help that.
PLANTED = ("defusedxml", "music21", "verovio", "numpy", "json", "signal", "ctypes", "struct", "click", "pydantic",
           "msgspec", "sitecustomize", "usercustomize", "tempfile", "subprocess", "rich", "watchfiles", "nh3", "random",
           "sitegen_extra", "multiprocessing", "pickle", "threading", "logging", "tests", "platformdirs")  # fmt: skip
MARK = "import pathlib; pathlib.Path({mark!r}).touch()\n"


@pytest.fixture(params=["content folder", "another folder"])
def place(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """The current folder, with a module of each name in it; the content lies there, or beside it."""
    content = write_content(tmp_path / "content", march=musicxml())
    folder = content if request.param == "content folder" else tmp_path / "other"
    folder.mkdir(exist_ok=True)
    for name in PLANTED:
        (folder / f"{name}.py").write_text(MARK.format(mark=str(tmp_path / f"{name} was run")), encoding="utf-8")
    return folder


@pytest.fixture(params=["script", "-m"])
def program(tmp_path: Path, request: pytest.FixtureRequest) -> list[str]:
    """How the command is started: by the script that an installer makes, or by ``python -m sitegen``."""
    if request.param == "-m":
        return [sys.executable, "-m", "sitegen"]
    script = tmp_path / "bin" / "sitegen"
    script.parent.mkdir()
    script.write_text("import sys\nfrom sitegen.__main__ import run\nsys.exit(run())\n", encoding="utf-8")
    return [sys.executable, str(script)]


def test_what_is_planted_is_not_run(tmp_path: Path, place: Path, program: list[str]) -> None:
    content = tmp_path / "content"
    score = content / "march" / "score.musicxml"
    environment = os.environ | {"SITEGEN_CACHE": str(tmp_path / "store"), "PYTHONPATH": str(ROOT)}
    for arguments in (["analyse", score], ["check", content], ["build", content, "-o", tmp_path / "site", "-j", "2"]):
        command = [*program, *map(str, arguments)]
        done = subprocess.run(command, cwd=place, env=environment, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
    command = [*program, "preview", str(content), "--port", "0"]
    with subprocess.Popen(command, cwd=place, env=environment, stderr=subprocess.PIPE, text=True) as preview:
        assert preview.stderr is not None
        for line in preview.stderr:
            if line.startswith("Made: "):
                break
        preview.send_signal(signal.SIGTERM)
    assert preview.returncode == 143
    assert sorted(tmp_path.glob("* was run")) == []
