"""What a validation looks at: a piece as it is written, and later with its music understood."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sitegen.checking.nouns import Finding
from sitegen.library import Piece, StudioMatter
from sitegen.places.stages import StageName
from sitegen.reduction import Stage
from sitegen.score import Score


@dataclass(frozen=True, slots=True)
class WrittenPiece:
    """A piece as its teacher wrote it. ``neighbours`` are the slugs of all pieces of the library."""

    piece: Piece
    studio: StudioMatter
    neighbours: frozenset[str] = frozenset()

    def error(
        self, what: str, remedy: str, line: int | None = None, file: Path | None = None, bar: str | None = None
    ) -> Finding:
        """A finding of this piece that keeps it from being published."""
        return Finding("error", what, remedy, str(file or self.piece.file), line, bar, self.piece.slug)

    def warning(
        self, what: str, remedy: str, line: int | None = None, file: Path | None = None, bar: str | None = None
    ) -> Finding:
        """A finding of this piece that is worth knowing."""
        return Finding("warning", what, remedy, str(file or self.piece.file), line, bar, self.piece.slug)


@dataclass(frozen=True, slots=True)
class Case:
    """A piece with its music understood. ``rights`` are the rights lines of its score, ``names`` what each stage
    may be called, in order, ``span`` the hand's in semitones."""

    draft: WrittenPiece
    score: Score
    stages: tuple[Stage, ...]
    span: int
    rights: tuple[str, ...] = ()
    names: tuple[StageName, ...] = ()

    def title_of(self, stage: Stage) -> str:
        """What the stage is called on the page."""
        return next((known.titles[0] for known in self.names if known.name == stage.slug), stage.title)
