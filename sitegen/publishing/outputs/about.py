"""``about/index.html``: the page about the site, with its credits."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfSite, PublishedFile

ABOUT: PublishedFile[OfSite] = PublishedFile(
    OfSite,
    lambda source: "about/index.html",
    lambda source, path: source.press.page("about.html.j2", path, pages=source.pages),
)
