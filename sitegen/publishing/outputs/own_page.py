"""``pages/<name>/index.html``: a page of the studio's own words, with the way to the others."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfOwnPage, PublishedFile

FEWEST_HEADINGS = 4
"""So many headings have a list of contents above them: fewer are seen at a glance."""


def own_page_file(slug: str) -> str:
    """The place of a page below the site's root."""
    return f"pages/{slug}/index.html"


def _write(source: OfOwnPage, path: str) -> bytes:
    page, place = source.page, source.pages.index(source.page)
    headings = page.headings if len(page.headings) >= FEWEST_HEADINGS else ()
    return source.press.page(
        "own-page.html.j2",
        path,
        page=page,
        text=Markup(page.text),
        contents=[(name, Markup(words)) for name, words in headings],
        pages=source.pages,
        after=source.pages[place + 1] if place + 1 < len(source.pages) else None,
    )


OWN_PAGE: PublishedFile[OfOwnPage] = PublishedFile(OfOwnPage, lambda source: own_page_file(source.page.slug), _write)
