"""Reading the content folder: ``studio.yaml``, and a folder for each piece with ``piece.md`` and its score.

A score that lies there without a ``piece.md`` is a piece too, with what the score says of itself.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from ruamel.yaml.comments import CommentedMap

from sitegen.errors import ContentError
from sitegen.library.assigning import load_assignments
from sitegen.library.collections import load_collections
from sitegen.library.commentary import split_front_matter
from sitegen.library.folders import (
    OTHER_FOLDERS,
    PIECE,
    almost_piece,
    astray,
    cannot_be_read,
    is_file_of,
    is_readable,
    meant_for_pieces,
    no_file,
    scores_in,
    unreadable,
    unused_scores,
    without_music,
)
from sitegen.library.limits import read_text
from sitegen.library.matter import PieceMatter, StudioMatter, read_matter
from sitegen.library.nouns import AtPlace, Library, Lined, Piece
from sitegen.library.own_pages import load_own_pages
from sitegen.library.slugs import slug_of
from sitegen.library.wording import load_words
from sitegen.library.yaml_reading import line_of, load_yaml
from sitegen.score.formats import SUFFIXES

NOTHING_KNOWN: Mapping[str, AtPlace] = MappingProxyType({})


@dataclass(slots=True)
class _Found:
    """What is gathered on the way: what keeps a piece from being published, and what is only worth knowing."""

    faults: list[ContentError] = field(default_factory=list)
    warnings: list[ContentError] = field(default_factory=list)


def load_library(root: Path, known: Mapping[str, AtPlace] = NOTHING_KNOWN) -> Library:
    """Everything under ``root``. Faults are collected, not raised; only a missing folder raises ``ContentError``.

    What is ``known`` to lie at some of its places is not read again.
    """
    if not root.is_dir():
        raise ContentError("there is no such content folder", "Name the folder that holds studio.yaml.", root)
    found = _Found()
    studio, lines = _load_studio(root, found.faults)
    if stray := astray(root):
        found.warnings.append(stray)
    pieces: dict[str, Piece] = {}
    places: dict[str, AtPlace] = {}
    for place in sorted(root.iterdir(), key=lambda p: p.name):
        if place.name.startswith("."):
            continue
        if not is_readable(place.name):
            found.warnings.append(unreadable(place))
            continue
        there = known.get(place.name) or _at_place(place)
        places[place.name] = there
        found.faults += there.faults
        found.warnings += there.warnings
        for piece in there.pieces:
            if piece.slug in pieces:
                other = pieces[piece.slug].file
                remedy = "Rename one of them: signs and accents do not count."
                found.faults.append(ContentError(f"has the same address as {other}", remedy, piece.file))
            else:
                pieces[piece.slug] = piece
    ordered = tuple(pieces[slug] for slug in sorted(pieces))
    meant = meant_for_pieces(root)
    assigned, collected = load_assignments(root), load_collections(root)
    faults, warnings = (*found.faults, *assigned.faults), (*found.warnings, *assigned.warnings)
    return Library(
        root, studio, ordered, faults, warnings, lines, meant, places, assigned,
        collected=collected, worded=load_words(root), own=load_own_pages(root),
    )  # fmt: skip


def _at_place(place: Path) -> AtPlace:
    found = _Found()
    pieces: tuple[Piece, ...] = ()
    try:
        pieces = tuple(_pieces_at(place, found))
    except OSError as error:  # a folder or a file that may not be read, or a link that leads to itself
        found.faults.append(cannot_be_read(error, place))
    return AtPlace(pieces, tuple(found.faults), tuple(found.warnings))


def load_piece(folder: Path) -> tuple[Piece | None, StudioMatter, tuple[ContentError, ...]]:
    """The piece of one folder, the studio around it (one without fields where there is none), and every fault of both.

    None for a folder that holds no piece, or several scores without a ``piece.md``.
    """
    found = _Found()
    around = folder.resolve().parent
    studio = _load_studio(around, found.faults)[0] if (around / "studio.yaml").is_file() else StudioMatter(title="-")
    pieces = _pieces_at(folder, found)
    return pieces[0] if len(pieces) == 1 else None, studio, tuple(found.faults)


def load_studio(root: Path) -> StudioMatter:
    """The studio of a content folder, with what is sound of its fields."""
    return _load_studio(root, [])[0]


def _load_studio(root: Path, faults: list[ContentError]) -> tuple[StudioMatter, dict[str, int]]:
    """The studio, and the line of each of its fields."""
    file = root / "studio.yaml"
    fallback = StudioMatter(title=root.resolve().name)
    if not file.is_file():
        faults.append(ContentError("is missing", "Write it with a line such as 'title: My studio'.", file))
        return fallback, {}
    try:
        data = load_yaml(read_text(file), file)
    except ContentError as error:
        faults.append(error)
        return fallback, {}
    matter = read_matter(StudioMatter, data, file, 1)
    faults += matter.faults
    return matter.sound or fallback, _lines(data, 1)


def _pieces_at(place: Path, found: _Found) -> list[Piece]:
    if place.is_file() and place.suffix.lower() in SUFFIXES:
        return [_bare_piece(place, place.stem)]
    if not place.is_dir() or place.name in OTHER_FOLDERS:
        return []
    found.warnings += [unreadable(file) for file in sorted(place.iterdir()) if not is_readable(file.name)]
    file = place / PIECE
    if file.is_file():
        piece = _load_piece(file, found)
        return [piece] if piece else []
    if os.path.lexists(file):
        found.faults.append(no_file(file))
        return []
    if misnamed := almost_piece(place):
        found.faults.append(misnamed)
        return []
    scores = scores_in(place)
    if not scores:
        found.warnings.append(without_music(place))
    names = [place.name] if len(scores) == 1 else [f"{place.name}-{score.stem}" for score in scores]
    if len(scores) > 1:
        remedy = f"Give each a folder of its own, or write a {PIECE} that names one of them as 'score:'."
        found.warnings.append(ContentError(f"holds {len(scores)} scores; each is published as a piece", remedy, place))
    return [_bare_piece(score, name) for score, name in zip(scores, names, strict=True)]


def _bare_piece(score: Path, name: str) -> Piece:
    matter = PieceMatter(title=name, score=score.name)
    return Piece(slug_of(name), score, score, matter, bare=True)


def _lines(data: CommentedMap, first_line: int) -> dict[str, int]:
    """The line of each field."""
    return {str(name): line_of(data, [name], first_line) for name in data}


def _load_piece(file: Path, found: _Found) -> Piece | None:
    try:
        front, first, commentary, commentary_line = split_front_matter(read_text(file), file)
        data = load_yaml(front, file, first)
    except ContentError as error:
        found.faults.append(error)
        return None
    fields = read_matter(PieceMatter, data, file, first)
    found.faults += fields.faults
    matter = fields.sound
    if matter is None:
        return None
    if not is_file_of(file.parent, matter.score):
        line = line_of(data, ["score"], first)
        there = [score.name for score in scores_in(file.parent)]
        remedy = (
            f"There is: {', '.join(there)}." if there else "Give the name of a score file in the folder of the piece."
        )
        what = f"field 'score' names '{matter.score}', which is not there"
        found.faults.append(ContentError(what, remedy, file, line=line))
        return None

    def lines(key: str) -> tuple[int, ...]:
        given = data.get(key)
        entries = [i for i in range(len(given) if isinstance(given, list) else 0) if (key, i) not in fields.left_out]
        return tuple(line_of(data, [key, i], first) for i in entries)

    own = [str(value["file"]) for value in matter.stages if isinstance(value, dict) and value.get("file")]
    found.warnings += unused_scores(file.parent, [matter.score, *own])
    stages = tuple(map(Lined, matter.stages, lines("stages")))
    adjustments = tuple(map(Lined, matter.adjustments, lines("adjustments")))

    return Piece(
        slug_of(file.parent.name), file, file.parent / matter.score, matter, commentary, commentary_line,
        stages, adjustments, lines("practise"), lines=_lines(data, first), at_fault=bool(fields.faults),
    )  # fmt: skip
