"""What is wrong with a sentence that somebody gives in another language, and which sentences a language lacks.

``english`` holds every sentence that the program may say, by its key. What a language may have or not (the names of
notes, which stay letters without) has no English."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from string import Formatter

from sitegen.words.plurals import forms_of, stem_of

_OPTIONAL = re.compile(r"^(pitch|symbol)\.[A-G](#{1,2}|b{1,2})?$")
_WITH_SMALL = frozenset({"root", "tonic"})  # a pitch's name, for which German has a small letter in minor: {small}
_NAME = re.compile(r"^[a-z_]+$")


def optional(key: str) -> bool:
    """Whether a language may have a word of this key though English has none."""
    return _OPTIONAL.match(key) is not None


def lacking(english: Mapping[str, str], words: Mapping[str, str], language: str) -> list[str]:
    """The keys that ``words`` lack to say all that English says: of a word with plural forms those of ``language``,
    unless it has the word without any."""
    lacks: list[str] = []
    for key in english:
        stem, has_forms = stem_of(key), _has_forms(english, stem_of(key))
        if has_forms and key != f"{stem}.other":
            continue
        name = stem if has_forms else key
        forms = [f"{name}.{form}" for form in forms_of(language)]
        if name in words:
            continue
        if has_forms or any(form in words for form in forms):
            lacks += (form for form in forms if form not in words)
        else:
            lacks.append(name)
    return lacks


def wrong_with(key: str, text: object, english: Mapping[str, str], language: str) -> tuple[str, str] | None:
    """What is wrong with ``text`` as the sentence called ``key``, and what to do; None where nothing is."""
    if not isinstance(text, str) or not text:
        return f"'{key}' is no text", "Put the sentence in quotation marks."
    said, is_form = _english_of(key, english)
    if said is None:
        near = get_close_matches(key, english, 1)
        return f"no sentence is called '{key}'", f"Perhaps '{near[0]}'." if near else "Take it out."
    if is_form and (form := key.rpartition(".")[2]) not in forms_of(language):
        return f"'{key}': '{language}' has no form '{form}'", f"It has: {', '.join(forms_of(language))}."
    places, wanted = _places(text), _places(said) or frozenset()
    if places is None:
        return f"'{key}' has a brace that is none of a place", "Write places as in English: {name}, in single braces."
    known = wanted | {"small"} if wanted & _WITH_SMALL else wanted
    if odd := places - known:
        may = f"It may have: {_listed(known)}." if known else "It has none."
        return f"'{key}' has the place {_listed(odd)}, which nothing fills", may
    # 'one bar' need not say 1
    needed = wanted - {"count"} if is_form else wanted
    if lacks := needed - (places | _WITH_SMALL if "small" in places else places):
        return f"'{key}' lacks the place {_listed(lacks)}", f"English says: {said}"
    return None


def _english_of(key: str, english: Mapping[str, str]) -> tuple[str | None, bool]:
    """What English says under ``key`` (nothing where a language may have a word of its own, None where there is no
    such sentence), and whether ``key`` is a plural form of it."""
    stem = stem_of(key)
    if _has_forms(english, stem):
        return english[f"{stem}.other"], stem != key
    if key in english:
        return english[key], False
    if optional(key):
        return "", False
    counted = english.get(stem, "")
    return (counted, True) if "{count}" in counted else (None, False)


def _has_forms(english: Mapping[str, str], stem: str) -> bool:
    return f"{stem}.one" in english and f"{stem}.other" in english


def _places(text: str) -> frozenset[str] | None:
    """The names in braces; None where a brace is no place, or one asks for more than a name."""
    try:
        found = [(name, how, turned) for _, name, how, turned in Formatter().parse(text) if name is not None]
    except ValueError:
        return None
    if any(how or turned or not _NAME.match(name) for name, how, turned in found):
        return None
    return frozenset(name for name, _, _ in found)


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names))
