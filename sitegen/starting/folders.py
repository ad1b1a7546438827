"""The folders and files that a start makes. Whatever is there stays as it is."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sitegen.apart import USUAL, Failure, Limits, call_apart, limits_here
from sitegen.days import today
from sitegen.errors import ContentError, ScoreError
from sitegen.library import slug_of
from sitegen.library.folders import PIECE
from sitegen.score.formats import SUFFIXES

STUDIO = """\
title: My studio        # the name over every page
language: en
teacher: ""
hand: medium            # small, medium, large: the hand that stages are made for where a piece says nothing
about: |
  Who you are, and how your pupils practise. A published site is public: call pupils by codes, never by names.
"""


@dataclass(frozen=True, slots=True)
class Started:
    """What was made: the files, in order."""

    files: tuple[Path, ...]


def start_studio(content: Path) -> Started:
    """``content`` with a ``studio.yaml`` where there is none. Raises ``ContentError`` where it cannot be made."""
    file = content / "studio.yaml"
    if file.exists():
        return Started(())
    if content.exists() and not content.is_dir():
        raise ContentError("is a file, not a folder", "Name another place for the content.", content)
    content.mkdir(parents=True, exist_ok=True)
    file.write_text(STUDIO, encoding="utf-8")
    return Started((file,))


def start_piece(
    score_file: Path, content: Path, licence: str, source: str, name: str = "", limits: Limits = USUAL
) -> Started:
    """A folder in ``content`` with a copy of the score and a ``piece.md`` drafted from it, apart and within ``limits``.

    ``name`` is the folder's; without it, the score's title or the file's name. Raises ``ScoreError`` for a score that
    cannot be read, ``ContentError`` where the folder is there already: nothing is ever written over.
    """
    if not score_file.is_file():
        raise ScoreError("there is no such file", f"Name a score ({', '.join(SUFFIXES)}).", score_file)
    drafted = _drafted_apart([str(score_file), licence, source, today()], limits, score_file)
    called = next(drafted)
    folder = content / slug_of(name or called)
    if folder.exists():
        remedy = f"Nothing was written. Give another name with --name, or go on with {folder / PIECE}."
        raise ContentError("is there already", remedy, folder)
    text = next(drafted)
    made = start_studio(content).files
    folder.mkdir(parents=True)
    copied = folder / score_file.name
    shutil.copyfile(score_file, copied)
    (folder / PIECE).write_text(text, encoding="utf-8")
    return Started((*made, copied, folder / PIECE))


def _drafted_apart(asked: list[str], limits: Limits, score_file: Path) -> Iterator[str]:
    """What ``draft`` gives. What breaks the program down, or takes more than the limits, is a ``ScoreError``."""
    try:
        for text in call_apart(f"{__name__}:draft", json.dumps(asked).encode(), limits):
            yield text.decode()
    except Failure as failure:
        if failure.ended:
            raise ScoreError(f"the program that reads it {failure}", failure.remedy, score_file) from failure
        remedy = "Export it again, without what is odd in it."
        raise ScoreError(f"could not be understood ({failure})", remedy, score_file) from failure


def draft(data: bytes) -> Iterator[bytes]:
    """In a child: what a piece is to be called, then the text of its ``piece.md``."""
    from sitegen.analysis import analyse
    from sitegen.reduction import build_ladder
    from sitegen.score import read_score
    from sitegen.score.lengths import refuse_beyond_memory
    from sitegen.score.sources import open_source
    from sitegen.starting.drafting import draft_piece

    file, licence, source, day = json.loads(data)
    opened = open_source(Path(file))
    refuse_beyond_memory(opened.counted, limits_here() or USUAL, file)
    score = read_score(opened)
    if not score.notes:
        raise ScoreError("holds no notes", "Check the export: only rests were found.", file)
    called = score.title or Path(file).stem
    yield called.encode()
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    yield draft_piece(score, analysis, stages, Path(file).name, licence, source, called, day).encode()
