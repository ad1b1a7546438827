"""The folder of pages: texts of the studio's own that belong to no piece, such as how its pupils practise."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from sitegen.errors import ContentError
from sitegen.library.attachments import Attachment, attachments_of
from sitegen.library.collections import COLLECTIONS
from sitegen.library.links import piece_named
from sitegen.library.matter import Language, Line, Text
from sitegen.library.references import Reference
from sitegen.library.slugs import slug_of
from sitegen.library.texts import WrittenText, load_texts

PAGES = "pages"
#: What a link to the page for teachers is written as, where no page of the studio's own has this name.
REFERENCE = "teachers.md"
_PAGE = re.compile(r"(?:\./)?(?P<name>[^/]+)\.md")
_COLLECTION = re.compile(rf"\.\./{COLLECTIONS}/(?P<name>[^/]+)\.md")


class OwnPageMatter(BaseModel):
    """The front matter of ``pages/NAME.md``."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    title: Annotated[Line, Field(description="the title of the page")]
    order: Annotated[
        int | None, Field(description="its place among the pages: 1 comes first; those without one come last, by title")
    ] = None
    summary: Annotated[Text, Field(description="a sentence under the title, which search engines show too")] = ""
    language: Annotated[
        Language | None, Field(description="the language of the text, where it is another than the studio's")
    ] = None


@dataclass(frozen=True, slots=True)
class OwnPage:
    """A page as its teacher wrote it. ``text`` is Markdown that begins on ``text_line``; ``leads`` says where on the
    site its links lead, from the site's root; ``attachments`` are the files beside it that it shows or offers."""

    slug: str
    file: Path
    matter: OwnPageMatter
    text: str = ""
    text_line: int = 1
    leads: Mapping[str, str] = field(default_factory=dict)
    attachments: tuple[Attachment, ...] = ()


@dataclass(frozen=True, slots=True)
class OwnPages:
    """What lies in the folder of pages, in their order. A fault keeps its own page from being published."""

    pages: tuple[OwnPage, ...] = ()
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


def load_own_pages(root: Path) -> OwnPages:
    """The pages below ``root``, in their order; none where there is no such folder. Faults are collected."""
    misnamed = "is neither a page, called NAME.md, nor shown or offered by one"
    found, told = load_texts(root / PAGES, OwnPageMatter, misnamed, _page)
    used = {place for page in found for each in page.attachments for place in (each.file, *each.file.parents)}
    unused = tuple(warning for warning in told.warnings if warning.file not in used)
    return OwnPages(tuple(sorted(found, key=_place)), told.faults, unused)


def _place(page: OwnPage) -> tuple[bool, int, str, str]:
    order = page.matter.order
    return order is None, order or 0, page.matter.title, page.slug


def _page(written: WrittenText[OwnPageMatter]) -> tuple[OwnPage, tuple[ContentError, ...]]:
    references = written.references
    leads = {each.target: place for each in references if (place := place_meant(each)) is not None}
    files, faults = attachments_of(written.file, (each for each in references if each.target not in leads))
    leads |= {each.target: f"{PAGES}/{each.path}" for each in files}
    page = OwnPage(written.slug, written.file, written.matter, written.text, written.text_line, leads, files)
    return page, tuple(faults)


def place_meant(reference: Reference) -> str | None:
    """Where on the site a link of a page leads, from the site's root: to another page, a piece, a collection or the
    page for teachers; None for all else. What stands behind ``#`` goes along."""
    path, _, behind = reference.target.partition("#")
    fragment = f"#{behind}" if behind else ""
    piece = piece_named(reference)
    if piece is not None:
        return f"pieces/{piece}/index.html{fragment}"
    if path == REFERENCE:
        return f"teachers/index.html{fragment}"
    if reference.kind == "link" and (found := _PAGE.fullmatch(reference.path)):
        return f"{PAGES}/{slug_of(found['name'])}/index.html{fragment}"
    if found := _COLLECTION.fullmatch(reference.path):
        return f"{COLLECTIONS}/{slug_of(found['name'])}/index.html{fragment}"
    return None
