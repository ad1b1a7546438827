"""A score file made ready: mended, its notes with ids, and what it says of its rights."""

from __future__ import annotations

from sitegen.building.steps.nouns import Opened, Outputs
from sitegen.score.rights import rights_of
from sitegen.score.sources import source_of


def open_score(data: bytes, name: str) -> Outputs:
    """``text``, ``about`` (``Opened``) and ``rights`` of the file called ``name``. Raises ``ScoreError``."""
    source = source_of(data, name)
    about = Opened(source.kind, source.file, source.warnings, source.counted)
    return Outputs(text=source.text, about=about, rights=rights_of(source))
