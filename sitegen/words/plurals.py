"""What the CLDR knows of languages: which forms a word takes with a number, how numbers and which way is written.

Scripts ask their browser, whose ``Intl.PluralRules`` follows the same tables."""

from __future__ import annotations

from functools import cache

from babel import Locale, UnknownLocaleError
from babel.numbers import format_decimal

CATEGORIES = ("zero", "one", "two", "few", "many", "other")
_COUNTED = 1000  # nobody counts more bars, notes or pieces: the form that French keeps for millions is not asked for


def main_of(language: str) -> str:
    """The main language of a BCP 47 tag: ``en`` of ``en-US``."""
    return language.split("-")[0].lower()


@cache
def _locale(language: str) -> Locale:
    """What is known of a language; of one that is not known, what holds for English."""
    for tag in (language, main_of(language)):
        try:
            return Locale.parse(tag, sep="-")
        except (UnknownLocaleError, ValueError):
            continue
    return Locale("en")


@cache
def form_of(language: str, count: int) -> str:
    """The category of a number in a language: ``few`` for 2 in Polish."""
    return str(_locale(language).plural_form(count))


@cache
def forms_of(language: str) -> tuple[str, ...]:
    """The categories that a language has for whole numbers, in the order of the CLDR; ``other`` is always among
    them, since it stands in for the rest."""
    used = {form_of(language, count) for count in range(_COUNTED + 1)} | {"other"}
    return tuple(category for category in CATEGORIES if category in used)


def direction_of(language: str) -> str:
    """``rtl`` or ``ltr``."""
    return str(_locale(language).text_direction)


def decimal_in(language: str, value: float) -> str:
    """A number with one decimal: ``3,8`` in German."""
    return format_decimal(value, format="#,##0.0", locale=_locale(language))


def stem_of(key: str) -> str:
    """The key without the category at its end: ``facts.bars`` of ``facts.bars.few``; a key without one as it is."""
    stem, dot, form = key.rpartition(".")
    return stem if dot and form in CATEGORIES else key
