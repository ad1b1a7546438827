"""What a studio says in words of its own, and what its language lacks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sitegen.checking.nouns import Finding, found_in_reading
from sitegen.library import GivenWords, Library, StudioMatter, Worded
from sitegen.library.wording import WORDS
from sitegen.publishing import Theme, find_theme, languages_in, theme_names, words_in
from sitegen.words import amended, lacking, main_of, wrong_with

DEFAULT_THEME = "studio"


def theme_of(studio: StudioMatter) -> str:
    """The theme of a studio, or the one that is always there where there is none of the name it gives."""
    return studio.theme if studio.theme in theme_names() else DEFAULT_THEME


def english_of(theme: Theme) -> dict[str, str]:
    """Every sentence that a site of this theme may say, by its key."""
    # what the steps say is known where they are, which a build of pages in English need not load
    from sitegen.checking.sentences import sentences_of_the_steps

    return sentences_of_the_steps() | words_in(theme, "en")


def own_words(studio: StudioMatter, worded: Worded) -> dict[str, str]:
    """What the studio says otherwise in its language: its words for the main language, over them those for the
    region. A sentence at fault is left out."""
    given = {one.language: one for one in worded.given}
    files = [given[name] for name in dict.fromkeys((main_of(studio.language), studio.language)) if name in given]
    words: dict[str, str] = {}
    if files:
        english = english_of(find_theme(theme_of(studio)))
        for one in files:
            words = amended(words, _sound(one, english))
    return words


def _sound(given: GivenWords, english: Mapping[str, str]) -> dict[str, str]:
    return {k: text for k, text in given.words.items() if wrong_with(k, text, english, given.language) is None}


def folder(library: Library) -> Iterator[Finding]:
    """Everything that is wrong with the studio's own words, in whatever language: what is sound of them is used."""
    yield from found_in_reading(library.worded, library.root)
    if library.worded.given:
        english = english_of(find_theme(theme_of(library.studio)))
        for given in library.worded.given:
            for key, text in given.words.items():
                if wrong := wrong_with(key, text, english, given.language):
                    yield Finding("error", *wrong, str(given.file), given.lines.get(key))


def language(library: Library) -> Iterator[Finding]:
    """A language that lacks words, or has none at all; English stands in their place."""
    tongue, lacks, of = library.studio.language, *_lacking(library)
    if not lacks:
        return
    file, line = str(library.root / "studio.yaml"), library.studio_lines.get("language")
    own = f"give them in {WORDS}/{main_of(tongue)}.json of the content folder."
    if _is_without_words(library):
        there = ", ".join(languages_in(find_theme(theme_of(library.studio))))
        what = f"the pages have no words in the language '{tongue}' and speak English"
        yield Finding("warning", what, f"There are: {there}; or {own}", file, line)
    else:
        what = f"the language '{tongue}' lacks {len(lacks)} of {of} sentences, which the pages say in English"
        yield Finding("warning", what, f"'sitegen check' lists them; {own}", file, line)


def lacking_words(library: Library) -> Iterator[Finding]:
    """The keys of what the studio's language lacks, by what they are about: the list that ``language`` counts. There is
    none of a language without any words."""
    groups: dict[str, list[str]] = {}
    if not _is_without_words(library):
        for key in _lacking(library)[0]:
            groups.setdefault(key.split(".")[0], []).append(f"'{key}'")
    file = str(library.root / WORDS / f"{main_of(library.studio.language)}.json")
    for name, keys in sorted(groups.items()):
        what = f"lacks, of the sentences '{name}': {', '.join(keys)}"
        yield Finding("warning", what, "Write them there; 'sitegen analyse --list sentences' has the English.", file)


def _lacking(library: Library) -> tuple[list[str], int]:
    """The keys that the studio's language lacks, and how many sentences there are."""
    if main_of(library.studio.language) == "en":
        return [], 0
    english = english_of(find_theme(theme_of(library.studio)))
    return lacking(english, _words_of(library), library.studio.language), len(english)


def _is_without_words(library: Library) -> bool:
    return not _words_of(library)


def _words_of(library: Library) -> dict[str, str]:
    """What is said in the studio's language itself."""
    studio = library.studio
    return amended(words_in(find_theme(theme_of(studio)), studio.language), own_words(studio, library.worded))
