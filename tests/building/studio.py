"""Small content folders for building: a studio with pieces of a bar or two."""

from __future__ import annotations

from pathlib import Path

from sitegen.notation import write_stage
from tests.notation import score_of
from tests.writing.reading_back import stage_of

STUDIO = "title: The small studio\n"
FRONT = """---
title: {title}
score: score.musicxml
licence: CC0-1.0
---

{commentary}
"""


def musicxml(right: str = "C5q D5 E5 C5", left: str = "C3e G3 E3 G3 C3 G3 E3 G3", metre: str = "4/4") -> str:
    """A score file of these notes."""
    score = score_of(right=right, left=left, metre=metre)
    return write_stage(score, stage_of(score))


def write_content(root: Path, **pieces: str) -> Path:
    """A studio in ``root``; each piece is a folder, given as the text of its score."""
    root.mkdir(parents=True, exist_ok=True)
    (root / "studio.yaml").write_text(STUDIO, encoding="utf-8")
    for name, score in pieces.items():
        write_piece(root, name, score)
    return root


def write_piece(root: Path, name: str, score: str, commentary: str = "Listen to the bass.") -> Path:
    """One piece of the studio."""
    folder = root / name
    folder.mkdir(exist_ok=True)
    (folder / "score.musicxml").write_text(score, encoding="utf-8")
    (folder / "piece.md").write_text(FRONT.format(title=name.title(), commentary=commentary), encoding="utf-8")
    return folder


def tree_of(root: Path) -> dict[str, bytes]:
    """Every file below ``root`` with its bytes."""
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in sorted(root.rglob("*")) if p.is_file()}
