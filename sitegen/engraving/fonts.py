"""The music font that verovio brings, without loading verovio."""

from __future__ import annotations

import base64
import re
from importlib.util import find_spec
from pathlib import Path

from sitegen.errors import EngravingError


def music_font() -> bytes:
    """The music font as WOFF2, for the notes in tempo marks (Leipzig, under the SIL Open Font Licence)."""
    spec = find_spec("verovio")
    folders = list(spec.submodule_search_locations or ()) if spec else []
    for folder in folders:
        sheet = (Path(folder) / "data" / "Leipzig.css").read_text(encoding="utf-8")
        if found := re.search(r"base64,([A-Za-z0-9+/=]+)", sheet):
            return base64.b64decode(found[1])
    raise EngravingError("verovio brings no music font", "Install the version that pyproject.toml asks for.")
