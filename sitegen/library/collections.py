"""The folder of collections: a file for each, with the pieces that belong together (a term's set, a theme) in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from sitegen.errors import ContentError
from sitegen.library.links import piece_named
from sitegen.library.matter import Line, Text
from sitegen.library.slugs import slug_meant
from sitegen.library.texts import WrittenText, load_texts
from sitegen.library.yaml_reading import line_of

COLLECTIONS = "collections"


class CollectionMatter(BaseModel):
    """The front matter of ``collections/NAME.md``."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    title: Annotated[Line, Field(description="the title of the collection")]
    pieces: Annotated[
        list[Line], Field(min_length=1, description="the names of the pieces' folders, in order: [waltz, prelude]")
    ]
    summary: Annotated[Text, Field(description="a sentence for the gallery")] = ""


@dataclass(frozen=True, slots=True)
class Collection:
    """Pieces that a teacher put together. ``slugs`` are the pieces in her order, each once; ``piece_lines`` the lines
    of all that she names. ``text`` is Markdown that begins on ``text_line``; ``leads`` says to which pieces its links
    lead."""

    slug: str
    file: Path
    matter: CollectionMatter
    text: str = ""
    text_line: int = 1
    piece_lines: tuple[int, ...] = ()
    leads: Mapping[str, str] = field(default_factory=dict)

    @property
    def slugs(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(map(slug_meant, self.matter.pieces)))


@dataclass(frozen=True, slots=True)
class Collected:
    """What lies in the folder of collections. A fault keeps its own collection from being published."""

    collections: tuple[Collection, ...] = ()
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


def load_collections(root: Path) -> Collected:
    """The collections below ``root``, by their names; nothing where there is no such folder. Faults are collected, not
    raised."""
    misnamed = "is not read: a collection is called NAME.md"
    found, told = load_texts(root / COLLECTIONS, CollectionMatter, misnamed, _collection)
    return Collected(found, told.faults, told.warnings)


def _collection(written: WrittenText[CollectionMatter]) -> tuple[Collection, tuple[ContentError, ...]]:
    leads = {each.target: slug for each in written.references if (slug := piece_named(each)) is not None}
    places = range(len(written.matter.pieces))
    lines = tuple(line_of(written.fields, ["pieces", place], written.fields_line) for place in places)
    return Collection(written.slug, written.file, written.matter, written.text, written.text_line, lines, leads), ()
