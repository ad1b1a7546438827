"""The checks that read code instead of running it: form, faults, types, and who may import whom."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
CHECKS = {
    "form": ["ruff", "format", "--check", "."],
    "faults": ["ruff", "check", "."],
    "types": ["mypy", "--strict", "sitegen"],
    "imports": ["lint-imports"],
}


@pytest.mark.parametrize("name", CHECKS)
def test_code_passes_the_check_of_its(name: str) -> None:
    command = CHECKS[name]
    tool = shutil.which(command[0], path=os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]))
    if tool is None:
        message = f"{command[0]} is not on this machine (pip install '.[test]')"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([tool, *command[1:]], cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
