"""The theme's own sources: their types hold, and their lock file names no registry."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

_THEME = Path(__file__).resolve().parents[2] / "themes" / "base"


def test_types_of_the_scripts_hold() -> None:
    compiler = _THEME / "node_modules" / "typescript" / "bin" / "tsc"
    node = shutil.which("node")
    if node is None or not compiler.is_file():
        pytest.skip("Node or the theme's packages are not here: run 'npm ci' in themes/base")
    checked = subprocess.run([node, compiler, "--noEmit"], cwd=_THEME, capture_output=True, text=True, check=False)
    assert checked.returncode == 0, checked.stdout


def test_lock_file_names_no_registry() -> None:
    lock = json.loads((_THEME / "package-lock.json").read_text(encoding="utf-8"))
    assert [name for name, package in lock["packages"].items() if "resolved" in package] == []


def test_scripts_stay_small_modules() -> None:
    long = [path.name for path in _THEME.rglob("src/**/*.js") if len(path.read_text().splitlines()) > 300]
    assert long == []
