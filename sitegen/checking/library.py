"""What is at fault with the library as a whole: its folder, its theme, its language."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.checking.nouns import Finding, found_in_reading
from sitegen.library import Library
from sitegen.publishing import theme_names


def folder(library: Library) -> Iterator[Finding]:
    """Everything that was found in reading the content folder."""
    yield from found_in_reading(library, library.root)


def without_words(library: Library) -> Iterator[Finding]:
    """Scores that lie there alone, without a word of their teacher's."""
    for piece in library.pieces:
        if piece.bare:
            what = "has no piece.md; it is published with what the score says of itself"
            yield Finding(
                "warning", what, "Write one, or 'sitegen start' with the score.", str(piece.file), piece=piece.slug
            )


def empty(library: Library) -> Iterator[Finding]:
    """A content folder without a piece, and without one that is at fault."""
    if not library.pieces and not any(place.faults for place in library.places.values()):
        remedy = "Put a score into a folder of its own there, or write 'sitegen start SCORE'."
        yield Finding("warning", "holds no piece yet", remedy, str(library.root))


def theme(library: Library) -> Iterator[Finding]:
    """A theme that is not there; the pages then have the look of the first theme that is."""
    if library.studio.theme not in theme_names():
        line = library.studio_lines.get("theme")
        what = f"there is no theme '{library.studio.theme}'"
        yield Finding(
            "error", what, f"Choose one of: {', '.join(theme_names())}.", str(library.root / "studio.yaml"), line
        )
