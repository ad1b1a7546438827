"""Reading the content folder: ``studio.yaml``, and a folder for each piece with ``piece.md`` and its score.

A score that lies there without a ``piece.md`` is a piece too, with what the score says of itself.
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.library.commentary import split_front_matter
from sitegen.library.matter import PieceMatter, StudioMatter, line_of, load_yaml, read_matter
from sitegen.library.nouns import Library, Lined, Piece
from sitegen.score.sources import SUFFIXES


def load_library(root: Path) -> Library:
    """Everything under ``root``. Faults are collected, not raised; only a missing folder raises ``ContentError``."""
    if not root.is_dir():
        raise ContentError("there is no such content folder", "Name the folder that holds studio.yaml.", root)
    faults: list[ContentError] = []
    studio = _load_studio(root, faults)
    pieces: dict[str, Piece] = {}
    for place in sorted(root.iterdir(), key=lambda p: p.name):
        if place.name.startswith("."):
            continue
        for piece in _pieces_at(place, faults):
            if piece.slug in pieces:
                other = pieces[piece.slug].file
                faults.append(ContentError(f"has the same address as {other}", "Rename one of them.", piece.file))
            else:
                pieces[piece.slug] = piece
    return Library(root, studio, tuple(pieces[slug] for slug in sorted(pieces)), tuple(faults))


def slug_of(name: str) -> str:
    """``name`` as it appears in addresses: small letters, figures and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "piece"


def _load_studio(root: Path, faults: list[ContentError]) -> StudioMatter:
    file = root / "studio.yaml"
    fallback = StudioMatter(title=root.resolve().name)
    if not file.is_file():
        faults.append(ContentError("is missing", "Write it with a line such as 'title: My studio'.", file))
        return fallback
    try:
        data = load_yaml(_read(file), file)
    except ContentError as error:
        faults.append(error)
        return fallback
    matter, found = read_matter(StudioMatter, data, file, 1)
    faults += found
    return matter or fallback


def _pieces_at(place: Path, faults: list[ContentError]) -> list[Piece]:
    if place.is_file() and place.suffix.lower() in SUFFIXES:
        return [_bare_piece(place, place.stem if place.parent else place.name)]
    if not place.is_dir():
        return []
    file = place / "piece.md"
    if file.is_file():
        piece = _load_piece(file, faults)
        return [piece] if piece else []
    scores = sorted(p for p in place.iterdir() if p.is_file() and p.suffix.lower() in SUFFIXES)
    if not scores:
        faults.append(ContentError("holds neither piece.md nor a score", "Add them, or remove the folder.", place))
    names = [place.name] if len(scores) == 1 else [f"{place.name}-{score.stem}" for score in scores]
    return [_bare_piece(score, name) for score, name in zip(scores, names, strict=True)]


def _bare_piece(score: Path, name: str) -> Piece:
    matter = PieceMatter(title=name, score=score.name)
    return Piece(slug_of(name), score, score, matter, bare=True)


def _load_piece(file: Path, faults: list[ContentError]) -> Piece | None:
    try:
        front, line, commentary, commentary_line = split_front_matter(_read(file), file)
        data = load_yaml(front, file, line)
    except ContentError as error:
        faults.append(error)
        return None
    matter, found = read_matter(PieceMatter, data, file, line)
    faults += found
    if matter is None:
        return None
    score = (file.parent / matter.score).resolve()
    if not score.is_relative_to(file.parent.resolve()) or not score.is_file():
        line = line_of(data, ["score"], line)
        faults.append(
            ContentError(
                f"field 'score' names '{matter.score}', which is not there",
                "Give the name of a score file in the folder of the piece.",
                file,
                line=line,
            )
        )
        return None

    def lines(key: str) -> tuple[int, ...]:
        return tuple(line_of(data, [key, i], line) for i in range(len(data.get(key) or ())))

    stages = tuple(map(Lined, matter.stages, lines("stages")))
    adjustments = tuple(map(Lined, matter.adjustments, lines("adjustments")))

    return Piece(
        slug_of(file.parent.name), file, file.parent / matter.score, matter, commentary, commentary_line,
        stages, adjustments, lines("practise"),
    )  # fmt: skip


def _read(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise ContentError("is not UTF-8 text", "Save it as UTF-8.", file) from error
    except OSError as error:
        raise ContentError(f"cannot be read: {error.strerror}", "Check its rights.", file) from error
