"""``manifest.json`` in the root of a site: every file that the build put there, with its SHA-256 and its size.

It is what tells a site's own files from somebody else's, and whether a site is complete. It does not list itself.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

CONTRACT = 1
MANIFEST = "manifest.json"
_SHA256 = re.compile(r"[0-9a-f]{64}")
_BELOW = re.compile(r"(?!\.{0,2}(/|$)|.*/\.{0,2}(/|$)).+", re.DOTALL)


class Listed(NamedTuple):
    """A file of the site: the SHA-256 of its bytes in hexadecimal, and how many bytes there are."""

    sha256: str
    size: int


@dataclass(frozen=True, slots=True)
class Manifest:
    """The files of a site by their path below its root."""

    files: Mapping[str, Listed] = field(default_factory=dict)

    def as_bytes(self) -> bytes:
        """The manifest as it lies in the site: JSON, a line for each file, in the order of the paths."""
        lines = (
            f'{json.dumps(path)}:{{"sha256":"{listed.sha256}","size":{listed.size}}}'
            for path, listed in sorted(self.files.items())
        )
        return (f'{{"contract":{CONTRACT},"files":{{\n' + ",\n".join(lines) + "\n}}\n").encode()

    def below(self, folder: str) -> dict[str, Listed]:
        """The files below ``folder``, by their path from the site's root."""
        return {path: listed for path, listed in self.files.items() if path.startswith(f"{folder}/")}


def read_manifest(site: Path) -> Manifest | None:
    """The manifest of the site in a folder; None where there is none, or one that no build of ours wrote."""
    try:
        data = json.loads((site / MANIFEST).read_text(encoding="utf-8"))
        if data["contract"] != CONTRACT:
            return None
        return Manifest({path: _listed(path, entry) for path, entry in data["files"].items()})
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _listed(path: str, entry: Any) -> Listed:
    if not is_below(path) or path == MANIFEST or not _SHA256.fullmatch(entry["sha256"]):
        raise ValueError(path)
    return Listed(entry["sha256"], int(entry["size"]))


def is_below(path: str) -> bool:
    """Whether ``path`` leads to a place below the folder that it is relative to."""
    return _BELOW.fullmatch(path) is not None
