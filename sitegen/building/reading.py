"""A score by itself, or a piece with its teacher's adjustments, understood for ``analyse``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sitegen.analysis import analyse
from sitegen.building.cache import Cache, default_cache_folder
from sitegen.building.examining import examine
from sitegen.building.preparing import Understood
from sitegen.building.telling import teller_of
from sitegen.checking import Finding, findings_of
from sitegen.checking.music import oddity
from sitegen.errors import ContentError
from sitegen.library import load_piece, slug_of
from sitegen.library.folders import scores_in
from sitegen.reduction import build_ladder
from sitegen.score import open_source, read_score, starting_tempo


@dataclass(frozen=True, slots=True)
class ReadAlone:
    """What was found, and the music where it could be understood."""

    findings: tuple[Finding, ...]
    understood: Understood | None


def read_for_analysis(place: Path) -> ReadAlone:
    """A score file as it is, or the folder of a piece (or its ``piece.md``) with the adjustments in force.

    Raises ``ScoreError`` for a score that cannot be read, ``ContentError`` for a folder that holds no piece.
    """
    if not place.exists():
        raise ContentError("is not there", "Name the folder of a piece, or the file of a score.", place)
    if place.is_dir() or place.name == "piece.md":
        return _piece(place if place.is_dir() else place.parent)
    source = open_source(place)
    score = read_score(source)
    analysis = analyse(score)
    understood = Understood(source, score, analysis, build_ladder(score, analysis), starting_tempo(score))
    warned = [oddity(warning) for warning in score.warnings]
    return ReadAlone(tuple(f for w in warned for f in findings_of(w, "warning", file=place)), understood)


def _piece(folder: Path) -> ReadAlone:
    piece, studio, faults = load_piece(folder)
    found = tuple(finding for fault in faults for finding in findings_of(fault, "error", file=folder))
    if piece is None:
        if not found:
            raise _no_piece(folder)
        return ReadAlone(found, None)
    slugs = frozenset(slug_of(other.name) for other in folder.resolve().parent.iterdir() if other.is_dir())
    examined = examine(piece, studio, slugs | {piece.slug}, Cache(default_cache_folder()), teller_of(studio))
    return ReadAlone((*found, *examined.findings), examined.understood)


def _no_piece(folder: Path) -> ContentError:
    """Why a folder is not one of a piece, and what to name in its place."""
    if scores := scores_in(folder):
        return ContentError("holds several scores and no piece.md", f"Name one of them: {scores[0]}.", folder)
    pieces = sorted(place for place in folder.iterdir() if (place / "piece.md").is_file())
    if pieces:
        return ContentError("holds pieces, and is none itself", f"Name one of them: {pieces[0]}.", folder)
    return ContentError("holds neither piece.md nor a score", "Name the folder of a piece, or a score.", folder)
