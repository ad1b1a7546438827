"""What all pieces of a library share, gathered."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from types import MappingProxyType

from sitegen import publishing
from sitegen.apart import USUAL, Limits
from sitegen.building.asking import Studio
from sitegen.building.store import Store
from sitegen.building.telling import teller_of
from sitegen.checking.words import theme_of
from sitegen.library import Collection, OwnPage, StudioMatter, to_html, with_headings
from sitegen.publishing.messages import NONE_OF_HER_OWN
from sitegen.publishing.references import lead_to, lead_to_pieces
from sitegen.publishing.screens import layouts_seen
from sitegen.words import languages_of_theory, words_of_theory


def studio_of(
    matter: StudioMatter,
    neighbours: frozenset[str],
    store: Store,
    limits: Limits = USUAL,
    works: Mapping[str, str] = MappingProxyType({}),
    own: Mapping[str, str] = NONE_OF_HER_OWN,
) -> Studio:
    """The studio with its words and its look; ``works`` as of ``works_of``, ``own`` as of ``own_words``.

    Raises ``ContentError`` where the theme has not been built."""
    theme = publishing.find_theme(theme_of(matter))
    page, look = studio_page(matter, own), digest_of_theme(theme)
    layouts = layouts_seen(theme.screens)
    return Studio(store, matter, teller_of(matter, own), page, look, layouts, neighbours, limits, works)


def studio_page(
    matter: StudioMatter, own: Mapping[str, str] = NONE_OF_HER_OWN, reference: str = ""
) -> publishing.PublishedLibrary:
    """The studio as pages show it, with its ``own`` words. ``reference`` is the page for teachers as Markdown,
    published where she asks."""
    return publishing.PublishedLibrary(
        matter.title,
        matter.language,
        matter.teacher,
        to_html(matter.about),
        theme_of(matter),
        matter.address,
        with_headings(to_html(reference))[0] if matter.reference else "",
        own,
        licence_note=matter.licence_note,
    )


def collection_page(one: Collection) -> publishing.PublishedCollection:
    """A collection as its page shows it."""
    text = lead_to_pieces(to_html(one.text), one.leads, "../../pieces/")
    return publishing.PublishedCollection(one.slug, one.matter.title, one.slugs, one.matter.summary, text)


def own_page(one: OwnPage) -> publishing.PublishedPage:
    """A page of the studio's own words, as it is shown."""
    text, headings = with_headings(lead_to(to_html(one.text), one.leads, "../../"))
    contents = tuple((each.name, each.words) for each in headings if each.level == 2)
    matter = one.matter
    return publishing.PublishedPage(one.slug, matter.title, matter.summary, text, matter.language or "", contents)


def digest_of_theme(theme: publishing.Theme) -> str:
    """Changes when something changes from which pages are made; not the sounds, nor what is only copied. Theory's words
    count too: pages say them."""
    digest = hashlib.sha256(repr((sorted(theme.assets.items()), theme.scripts, theme.screens, theme.colours)).encode())
    for root in theme.folders:
        for folder in ("templates", "locale"):
            for file in sorted((root / folder).rglob("*")):
                if file.is_file():
                    digest.update(f"{file.relative_to(root).as_posix()}\n".encode() + file.read_bytes())
    for language in languages_of_theory():
        digest.update(repr(sorted(words_of_theory(language).items())).encode())
    return digest.hexdigest()
