"""The catalogues of the program: theory's and the theme's, in every language that it speaks."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.checking.words import english_of
from sitegen.publishing import find_theme, load_catalogue
from sitegen.words import languages_of_theory, main_of, read_words, words_of_theory, wrong_with

THEME = find_theme("studio")
LOCALE = THEME.root / "locale"
ENGLISH = english_of(THEME)


def _catalogues() -> list[tuple[str, str, dict[str, str]]]:
    theory = [("theory", language, words_of_theory(language)) for language in languages_of_theory()]
    return theory + [("the theme", file.stem, read_words(file)) for file in sorted(LOCALE.glob("*.json"))]


@pytest.mark.parametrize(("whose", "language", "words"), _catalogues(), ids=lambda value: str(value)[:20])
def test_every_sentence_is_one_that_is_said_and_holds_what_is_filled(
    whose: str, language: str, words: dict[str, str]
) -> None:
    assert words, whose
    wrong = [wrong_with(key, text, ENGLISH, language) for key, text in words.items()]
    assert [each for each in wrong if each] == []


def test_what_music_is_called_is_no_matter_of_a_theme() -> None:
    """No key is in both, and no group of keys: a second theme need not say again what a cadence is called."""

    def groups(words: dict[str, str]) -> set[str]:
        return {key.split(".")[0] for key in words}

    theory = set().union(*(groups(words_of_theory(language)) for language in languages_of_theory()))
    theme = set().union(*(groups(read_words(file)) for file in LOCALE.glob("*.json")))
    assert theory & theme == set()
    assert {"stage", "function", "chord", "word", "span", "key", "texture", "listen", "why"} <= theory


def test_german_lacks_nothing() -> None:
    from sitegen.publishing import words_in
    from sitegen.words import lacking

    assert lacking(ENGLISH, words_in(THEME, "de"), "de") == []


def test_a_region_says_only_what_differs() -> None:
    for file in (*LOCALE.glob("*-*.json"), *Path(LOCALE).glob("*_*.json")):
        english = load_catalogue(THEME, main_of(file.stem)).messages
        words = words_of_theory(file.stem) | read_words(file)
        same = {key for key, text in words.items() if english.get(key) == text}
        assert same == set(), file.name
