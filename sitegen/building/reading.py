"""A score by itself, or a piece with its teacher's adjustments, understood for ``analyse``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sitegen.analysis import Analysis, analyse
from sitegen.apart import USUAL, Limits
from sitegen.building.checking import examine
from sitegen.building.driving import Code, run_here
from sitegen.building.looking import Looked, Understood
from sitegen.building.steps.running import read_value
from sitegen.building.steps.stages import whole
from sitegen.building.store import Store
from sitegen.building.studios import studio_of
from sitegen.checking import Finding, findings_of
from sitegen.checking.music import oddity
from sitegen.checking.words import own_words
from sitegen.errors import ContentError
from sitegen.library import load_piece, load_words, slug_of
from sitegen.library.folders import scores_in
from sitegen.reduction import Stage, StageNote, build_ladder
from sitegen.score import Score, read_score
from sitegen.score.lengths import refuse_beyond_memory
from sitegen.score.sources import open_source


@dataclass(frozen=True, slots=True)
class UnderstoodMusic:
    """A score, all that is understood of it, and its ladder."""

    score: Score
    analysis: Analysis
    stages: tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class ReadAlone:
    """What was found, and the music where it could be understood."""

    findings: tuple[Finding, ...]
    understood: UnderstoodMusic | None


def read_for_analysis(place: Path, store: Store, limits: Limits = USUAL) -> ReadAlone:
    """A score file as it is, or the folder of a piece (or its ``piece.md``) with the adjustments in force; what is made
    of that is kept in the ``store``.

    Raises ``ScoreError`` for a score that cannot be read, ``ContentError`` for a folder that holds no piece.
    """
    if not place.exists():
        raise ContentError("is not there", "Name the folder of a piece, or the file of a score.", place)
    if place.is_dir() or place.name == "piece.md":
        return _piece(place if place.is_dir() else place.parent, store, limits)
    source = open_source(place)
    refuse_beyond_memory(source.counted, limits, place)
    score = read_score(source)
    analysis = analyse(score)
    understood = UnderstoodMusic(score, analysis, build_ladder(score, analysis))
    warned = [oddity(warning) for warning in score.warnings]
    return ReadAlone(tuple(f for w in warned for f in findings_of(w, "warning", file=place)), understood)


def music_of(understood: Understood, store: Store) -> UnderstoodMusic:
    """The music itself of a piece that is understood."""
    score: Score = read_value(store, understood.read.score, Score)
    analysis: Analysis = read_value(store, understood.analysis, Analysis)
    stages = tuple(read_value(store, digest, Stage) for digest in understood.stages)
    notes = tuple(read_value(store, digest, tuple[StageNote, ...]) for digest in understood.notes)
    return UnderstoodMusic(score, analysis, whole(stages, notes))


def _piece(folder: Path, store: Store, limits: Limits) -> ReadAlone:
    piece, matter, faults = load_piece(folder)
    found = tuple(finding for fault in faults for finding in findings_of(fault, "error", file=folder))
    if piece is None:
        if not found:
            raise _no_piece(folder)
        return ReadAlone(found, None)
    slugs = frozenset(slug_of(other.name) for other in folder.resolve().parent.iterdir() if other.is_dir())
    own = own_words(matter, load_words(folder.resolve().parent))
    studio = studio_of(matter, slugs | {piece.slug}, store, limits, own=own)
    looked = run_here(lambda: examine(piece, studio), store, Code(store))
    assert isinstance(looked, Looked)
    return ReadAlone((*found, *looked.findings), music_of(looked.understood, store) if looked.understood else None)


def _no_piece(folder: Path) -> ContentError:
    """Why a folder is not one of a piece, and what to name in its place."""
    if scores := scores_in(folder):
        return ContentError("holds several scores and no piece.md", f"Name one of them: {scores[0]}.", folder)
    pieces = sorted(place for place in folder.iterdir() if (place / "piece.md").is_file())
    if pieces:
        return ContentError("holds pieces, and is none itself", f"Name one of them: {pieces[0]}.", folder)
    return ContentError("holds neither piece.md nor a score", "Name the folder of a piece, or a score.", folder)
