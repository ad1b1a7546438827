"""The folder of words: a file for each language, with what a studio says otherwise than the program, or in a language
that the program does not speak. Which sentences there are is not known here (``checking/words.py``)."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sitegen.errors import ContentError
from sitegen.library.folders import each_file
from sitegen.library.limits import read_text

WORDS = "words"
_NAME = re.compile(r"^[a-z]{2,3}(-[A-Za-z]{2,4})?\.json$")


@dataclass(frozen=True, slots=True)
class GivenWords:
    """What a file gives, unread, and the line on which each key stands."""

    language: str
    file: Path
    words: Mapping[str, Any]
    lines: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Worded:
    """What lies in the folder of words. A fault keeps its own file from being used."""

    given: tuple[GivenWords, ...] = ()
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


def load_words(root: Path) -> Worded:
    """The words below ``root``, by their languages; nothing where there is no such folder. Faults are collected, not
    raised."""
    found: list[GivenWords] = []

    def load(file: Path) -> tuple[ContentError, ...]:
        found.append(_load(file))
        return ()

    misnamed = "is not read: words are called by their language, such as pl.json or en-US.json"
    told = each_file(root / WORDS, lambda file: _NAME.match(file.name) is not None, misnamed, load)
    return Worded(tuple(found), told.faults, told.warnings)


def _load(file: Path) -> GivenWords:
    text = read_text(file)
    remedy = 'Write it as {"gallery.pieces": "...", "player.play": "..."}.'
    try:
        words = json.loads(text)
    except json.JSONDecodeError as error:
        raise ContentError(f"is no JSON: {error.msg}", remedy, file, line=error.lineno) from error
    except (ValueError, RecursionError) as error:
        raise ContentError("is no JSON that can be read", remedy, file) from error
    if not isinstance(words, dict):
        raise ContentError("holds no keys with their sentences", remedy, file)
    places = {key: text.find(json.dumps(key, ensure_ascii=False)) for key in words}
    lines = {key: text.count("\n", 0, place) + 1 for key, place in places.items() if place >= 0}
    return GivenWords(file.stem, file, words, lines)
