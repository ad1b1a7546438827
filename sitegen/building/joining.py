"""The library of a content folder with those of others that its studio lists."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from sitegen.building.store import Store
from sitegen.checking.licences import lacking_rights
from sitegen.library import AtPlace, Library, load_library
from sitegen.library.loading import NOTHING_KNOWN
from sitegen.library.works import works_of
from sitegen.sharing.joining import SHELF, joined


def load_with_joined(content: Path, store: Store, known: Mapping[str, AtPlace] = NOTHING_KNOWN) -> Library:
    """Everything under ``content``, and of the libraries that it lists; bundles are unpacked beside the ``store``. As
    ``load_library``."""
    return joined(load_library(content, known), store.folder.resolve() / SHELF, known)


def works_in(library: Library) -> dict[str, str]:
    """As ``works_of``, of the pieces that nothing in their fields keeps from being published."""
    shown = (one for one in library.pieces if not one.at_fault and not lacking_rights(one, library.studio))
    return works_of(shown)


def keeping_unread(library: Library, stood: Iterable[str]) -> Library:
    """The library, to which those pieces that ``stood`` still belong whose own library cannot be read now: their last
    good pages stay."""
    lost = {slug for slug in stood if any(slug.startswith(before) for before in library.unread)}
    return replace(library, meant=library.meant | lost)
