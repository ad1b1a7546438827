"""``teachers/index.html``: the page for teachers, where the studio asks for it."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import OfSite, PublishedFile


def _write(source: OfSite, path: str) -> bytes:
    return source.press.page("teachers.html.j2", path, reference=Markup(source.press.library.reference))


TEACHERS: PublishedFile[OfSite] = PublishedFile(
    OfSite, lambda source: "teachers/index.html", _write, wanted=lambda source: bool(source.press.library.reference)
)
