"""Words that lie over each other: English, a language, its region, the studio's own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from sitegen.words.plurals import stem_of

_FOLDER = Path(__file__).resolve().parent


def read_words(file: Path) -> dict[str, str]:
    """The words of a catalogue of the program; none where it has no such file."""
    if not file.is_file():
        return {}
    words: dict[str, str] = json.loads(file.read_text(encoding="utf-8"))
    return words


def words_of_theory(language: str) -> dict[str, str]:
    """What music is called in ``language`` where that differs from what lies below it."""
    return read_words(_FOLDER / f"{language}.json")


def languages_of_theory() -> list[str]:
    """The languages in which music has words, in order of the alphabet."""
    return sorted(file.stem for file in _FOLDER.glob("*.json"))


def amended(words: Mapping[str, str], changes: Mapping[str, str]) -> dict[str, str]:
    """The words of a language with changes in the same language: its region's, or a studio's. A word that is given
    without plural forms takes the place of all of them."""
    if not changes:
        return dict(words)
    kept = {key: text for key, text in words.items() if stem_of(key) == key or stem_of(key) not in changes}
    return kept | dict(changes)


def laid_over(below: Mapping[str, str], words: Mapping[str, str]) -> dict[str, str]:
    """The words of a language over those of another. Plural forms go together: where the upper language has some of
    a word, those of the lower would come at numbers that they are not meant for; its ``other`` stays for want of
    another."""
    stems = {stem_of(key) for key in words}

    def stays(key: str) -> bool:
        return stem_of(key) == key or stem_of(key) not in stems or key.endswith(".other")

    return amended({key: text for key, text in below.items() if stays(key)}, words)
