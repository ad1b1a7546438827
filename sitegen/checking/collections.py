"""Whether what a collection names is there."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from sitegen.checking.nouns import Finding, found_in_reading
from sitegen.library import Library, slug_meant
from sitegen.library.references import read_references


def folder(library: Library) -> Iterator[Finding]:
    """Everything that was found in reading the collections."""
    yield from found_in_reading(library.collected, library.root)


def pieces(library: Library) -> Iterator[Finding]:
    """Pieces of a collection, and links of its text, that are not in the library; the rest of it is published."""
    for one in library.collected.collections:
        for name, line in zip(one.matter.pieces, one.piece_lines, strict=True):
            if slug_meant(name) not in library.slugs:
                what = f"there is no piece '{name}'; the collection is published without it"
                yield Finding("warning", what, _nearest(slug_meant(name), library), str(one.file), line)
        for reference in read_references(one.text, one.text_line)[0]:
            if reference.target in one.leads and one.leads[reference.target] not in library.slugs:
                what = f"the link '{reference.target}' leads to no piece of the library"
                remedy = _nearest(one.leads[reference.target], library)
                yield Finding("warning", what, remedy, str(one.file), reference.line)


def _nearest(slug: str, library: Library) -> str:
    near = get_close_matches(slug, sorted(library.slugs), 1, 0.5)
    return f"Perhaps '{near[0]}'; a piece goes by the name of its folder." if near else "Name the folder of a piece."
