"""What a step depends on, as one key: its inputs' bytes, its options, and the version of the code."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

_PACKAGE = Path(__file__).parent.parent
#: The folders whose code decides what a step makes. Pages are made anew at every build, so publishing is not here.
_STEPS = ("score", "analysis", "reduction", "notation", "engraving")


def key(*parts: str | bytes) -> str:
    """A name for the result of a step, 32 hexadecimal digits. Equal parts in equal order give equal keys."""
    digest = hashlib.sha256()
    for part in (*parts, code_version()):
        data = part.encode() if isinstance(part, str) else part
        digest.update(len(data).to_bytes(8, "big") + data)
    return digest.hexdigest()[:32]


@cache
def code_version() -> str:
    """A digest of the code of the musical steps and of the libraries that they stand on."""
    digest = hashlib.sha256()
    for folder in _STEPS:
        for file in sorted((_PACKAGE / folder).rglob("*")):
            if file.suffix in (".py", ".json", ".toml"):
                digest.update(file.relative_to(_PACKAGE).as_posix().encode() + file.read_bytes())
    for library in ("verovio", "music21", "numpy"):
        digest.update(version(library).encode())
    return digest.hexdigest()
