"""The words of the pages: theory's, and those of the theme.

A theme's catalogue is ``locale/<language>.json``: keys to sentences with ``{named}`` places; theory's have the same
form (``sitegen/words``). A regional catalogue (``en-US``) holds only what differs from its language (``en``); what a
language lacks is said in English. Over all of them lie the words that a studio gives itself. A key that ends in a
category of the CLDR (``.one``, ``.few``, ``.other``) is chosen by ``count``, as the language counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sitegen.publishing.theme import Theme
from sitegen.words import (
    amended,
    direction_of,
    form_of,
    laid_over,
    languages_of_theory,
    main_of,
    read_words,
    words_of_theory,
)

NONE_OF_HER_OWN: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The messages of one language. ``language`` is the tag that was asked for."""

    language: str
    messages: Mapping[str, str]

    @property
    def direction(self) -> str:
        """``rtl`` or ``ltr``, for the ``dir`` attribute."""
        return direction_of(self.language)

    def __call__(self, key: str, /, **values: object) -> str:
        """The message called ``key`` with its places filled. Raises ``KeyError`` for a key in no catalogue."""
        return self.messages[self._key_of(key, values.get("count"))].format(**values)

    def _key_of(self, key: str, count: object) -> str:
        """The key with the category of ``count`` where there is such a form, with ``other`` where there is that, else
        as it is."""
        if not isinstance(count, int):
            return key
        for form in (form_of(self.language, count), "other"):
            if f"{key}.{form}" in self.messages:
                return f"{key}.{form}"
        return key

    def sentence(self, key: str, english: str, places: Mapping[str, str]) -> str:
        """The message called ``key`` with its places filled; where there is none, ``english``."""
        count = places.get("count", "")
        key = self._key_of(key, int(count) if count.isdecimal() else None)
        return self.messages.get(key, english).format(**places)

    def word(self, group: str, term: str, otherwise: str | None = None) -> str:
        """A term of the trade, such as a note's function, in this language; where none is given ``otherwise``, or the
        term itself."""
        return self.messages.get(f"{group}.{term}", term if otherwise is None else otherwise)

    def group(self, name: str) -> dict[str, str]:
        """The terms of a group with what they are called in this language, such as ``stage``."""
        start = f"{name}."
        return {key.removeprefix(start): text for key, text in self.messages.items() if key.startswith(start)}

    def of_scripts(self) -> dict[str, str]:
        """The messages that scripts need, without their common prefix ``js.``."""
        return self.group("js")


def load_catalogue(theme: Theme, language: str, own: Mapping[str, str] = NONE_OF_HER_OWN) -> Catalogue:
    """The messages for a BCP 47 ``language``, falling back to its main language and then to English; over them the
    studio's ``own``, which are sound."""
    words = amended(words_in(theme, language), own)
    below = {} if main_of(language) == "en" else _words(theme, "en")
    return Catalogue(language, laid_over(below, words))


def words_in(theme: Theme, language: str) -> dict[str, str]:
    """What theory and the theme have in a language itself, without what they lack."""
    main = main_of(language)
    region = _words(theme, language) if language != main else {}
    return amended(_words(theme, main), region)


def languages_in(theme: Theme) -> list[str]:
    """The languages in which theory or the theme has words, in order of the alphabet."""
    return sorted({*languages_of_theory(), *(file.stem for file in (theme.root / "locale").glob("*.json"))})


def _words(theme: Theme, language: str) -> dict[str, str]:
    return words_of_theory(language) | read_words(theme.root / "locale" / f"{language}.json")
