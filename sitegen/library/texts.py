"""Folders of the content whose files are texts with fields at their head: collections, and pages of a studio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, Protocol, TypeVar

from ruamel.yaml.comments import CommentedMap

from sitegen.errors import ContentError, located
from sitegen.library.commentary import split_front_matter
from sitegen.library.folders import Told, each_file
from sitegen.library.limits import read_text
from sitegen.library.matter import M, read_matter
from sitegen.library.references import Reference, read_references
from sitegen.library.slugs import slug_of
from sitegen.library.yaml_reading import load_yaml


@dataclass(frozen=True, slots=True)
class WrittenText(Generic[M]):
    """A file as it is written: ``matter`` is what is sound of ``fields``, which begin on ``fields_line``; ``text`` is
    Markdown that begins on ``text_line``, ``references`` what that refers to."""

    file: Path
    matter: M
    fields: CommentedMap
    fields_line: int
    text: str
    text_line: int
    references: tuple[Reference, ...]

    @property
    def slug(self) -> str:
        """Its name in addresses."""
        return slug_of(self.file.stem)


class _Made(Protocol):
    @property
    def slug(self) -> str: ...
    @property
    def file(self) -> Path: ...


T = TypeVar("T", bound=_Made)


def load_texts(
    folder: Path,
    model: type[M],
    misnamed: str,
    make: Callable[[WrittenText[M]], tuple[T, tuple[ContentError, ...]]],
) -> tuple[tuple[T, ...], Told]:
    """What ``make`` makes of the files ``NAME.md`` of ``folder``, by their names in addresses, with the faults that it
    finds; ``misnamed`` says of other files what they are not. Nothing where there is no such folder."""
    found: dict[str, T] = {}

    def load(file: Path) -> tuple[ContentError, ...]:
        front, first, text, text_line = split_front_matter(read_text(file), file)
        fields = load_yaml(front, file, first)
        read = read_matter(model, fields, file, first)
        if read.sound is None or read.faults:
            return read.faults
        with located(file):
            references = read_references(text, text_line)[0]
        made, faults = make(WrittenText(file, read.sound, fields, first, text, text_line, references))
        if made.slug in found:
            what = f"has the same address as {found[made.slug].file}"
            return (*faults, ContentError(what, "Rename one of them: signs and accents do not count.", file))
        found[made.slug] = made
        return faults

    told = each_file(folder, lambda file: file.suffix == ".md", misnamed, load)
    return tuple(found[slug] for slug in sorted(found)), told
