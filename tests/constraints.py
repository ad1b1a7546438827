"""The versions that are tested, of every package that the program, its extras and its tests need.

    python -m tests.constraints           # names what differs between constraints.txt and what is installed here
    python -m tests.constraints --write   # writes constraints.txt anew from what is installed here

``constraints.txt`` is what CI installs by; whoever wants just these versions installs with ``pip install -c``.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
FILE = ROOT / "constraints.txt"
_HEAD = "# The versions that are tested; written by: python -m tests.constraints --write\n"


def declared() -> list[Requirement]:
    """What ``pyproject.toml`` asks for, with all extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras: Iterable[list[str]] = project["optional-dependencies"].values()
    return [Requirement(line) for lines in (project["dependencies"], *extras) for line in lines]


def installed() -> dict[str, str]:
    """The version of each package that is needed here, of those too that packages need in turn, by its name."""
    found: dict[str, str] = {}
    waiting = declared()
    known: set[tuple[str, frozenset[str]]] = set()
    while waiting:
        wanted = waiting.pop()
        name, extras = canonicalize_name(wanted.name), frozenset(wanted.extras)
        if (name, extras) in known:
            continue
        known.add((name, extras))
        try:
            package = distribution(name)
        except PackageNotFoundError:
            continue
        found[name] = package.version
        for line in package.requires or ():
            needed = Requirement(line)
            marker = needed.marker
            if marker is None or any(marker.evaluate({"extra": extra}) for extra in extras or {""}):
                waiting.append(needed)
    return found


def written() -> dict[str, str]:
    """The versions that ``constraints.txt`` names."""
    lines = FILE.read_text(encoding="utf-8").splitlines()
    return dict(line.split("==") for line in lines if line and not line.startswith("#"))


def differences() -> list[str]:
    """What differs between the file and what is installed, a line each."""
    here, there = installed(), written()
    return [
        f"{name}: {there.get(name, 'not named')} in {FILE.name}, {here.get(name, 'not needed')} here"
        for name in sorted(here.keys() | there.keys())
        if here.get(name) != there.get(name)
    ]


def main() -> None:
    if sys.argv[1:] == ["--write"]:
        FILE.write_text(_HEAD + "".join(f"{n}=={v}\n" for n, v in sorted(installed().items())), encoding="utf-8")
        return
    told = differences()
    print("\n".join(told) or f"{len(written())} packages, all as written")
    sys.exit(1 if told else 0)


if __name__ == "__main__":
    main()
