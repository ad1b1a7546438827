"""``not-kept.html``: what is shown without a connection in place of a page that is not on the device."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfSite, PublishedFile

NOT_KEPT: PublishedFile[OfSite] = PublishedFile(
    OfSite, lambda source: "not-kept.html", lambda source, path: source.press.page("not-kept.html.j2", path)
)
