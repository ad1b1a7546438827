"""``index.html``: the gallery of the library's pieces."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfSite, PublishedFile


def _write(source: OfSite, path: str) -> bytes:
    introduction = Markup(source.press.library.introduction)
    return source.press.page("gallery.html.j2", path, pieces=source.cards, introduction=introduction)


GALLERY: PublishedFile[OfSite] = PublishedFile(OfSite, lambda source: "index.html", _write)
