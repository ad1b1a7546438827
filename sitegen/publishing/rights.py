"""Who made a piece, under what licence, and how to credit it, in the words of the page."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PiecePage


def rights_in_words(piece: PiecePage, words: Catalogue) -> tuple[str, ...]:
    """A sentence each for composer, editor, the source of the edition, who encoded it, from whose library it is, and
    the licence."""
    return tuple(_sentences(piece, words))


def _sentences(piece: PiecePage, words: Catalogue) -> Iterator[str]:
    rights = piece.rights
    if piece.composer and rights.composer_died:
        yield words("rights.composer", name=_with_death(piece.composer, rights.composer_died, words))
    if rights.editor:
        yield words("rights.editor", name=_with_death(rights.editor, rights.editor_died, words))
    if piece.credit:
        yield piece.credit
    if rights.encoder:
        yield words("rights.encoder", name=rights.encoder)
    if piece.library:
        yield words("facts.library", library=piece.library)
    yield words("facts.licence", licence=piece.licence)


def credit_line(piece: PiecePage, studio: str) -> str:
    """What to write where the piece, or a stage of it, is used: title, composer, editor, encoder, library, licence."""
    rights = piece.rights
    parts = (piece.title, piece.composer, rights.editor, rights.encoder, piece.library or studio, piece.licence)
    return ", ".join(dict.fromkeys(part for part in parts if part))


def _with_death(name: str, died: str, words: Catalogue) -> str:
    """``Clara Example (died 1896)``; the name alone where no year is known, or there is none yet."""
    return words("rights.died", name=name, year=died) if died.isdigit() else name
