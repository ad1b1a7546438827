"""The folder of collections: a file for each, with the pieces that belong together (a term's set, a theme) in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from sitegen.errors import ContentError, located
from sitegen.library.commentary import split_front_matter
from sitegen.library.folders import each_file
from sitegen.library.limits import read_text
from sitegen.library.links import piece_named
from sitegen.library.matter import Line, Text, read_matter
from sitegen.library.references import read_references
from sitegen.library.slugs import slug_meant, slug_of
from sitegen.library.yaml_reading import line_of, load_yaml

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
    found: dict[str, Collection] = {}

    def load(file: Path) -> tuple[ContentError, ...]:
        loaded, faults = _load(file)
        if loaded is None:
            return faults
        if loaded.slug in found:
            what = f"has the same address as {found[loaded.slug].file}"
            return (*faults, ContentError(what, "Rename one of them: signs and accents do not count.", file))
        found[loaded.slug] = loaded
        return faults

    misnamed = "is not read: a collection is called NAME.md"
    told = each_file(root / COLLECTIONS, lambda file: file.suffix == ".md", misnamed, load)
    return Collected(tuple(found[slug] for slug in sorted(found)), told.faults, told.warnings)


def _load(file: Path) -> tuple[Collection | None, tuple[ContentError, ...]]:
    front, first, text, text_line = split_front_matter(read_text(file), file)
    data = load_yaml(front, file, first)
    read = read_matter(CollectionMatter, data, file, first)
    if read.sound is None or read.faults:
        return None, read.faults
    with located(file):
        references = read_references(text, text_line)[0]
    leads = {reference.target: slug for reference in references if (slug := piece_named(reference)) is not None}
    lines = tuple(line_of(data, ["pieces", place], first) for place in range(len(read.sound.pieces)))
    return Collection(slug_of(file.stem), file, read.sound, text, text_line, lines, leads), ()
