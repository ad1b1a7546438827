"""The unlisted part of a site: the pages of assignments, the pieces that were made again for them, and the week."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from sitegen import publishing
from sitegen.building.assignments import (
    Desk,
    ForHand,
    MadeAssignment,
    folder_of_assignment,
    folder_of_week,
    make_assignments,
    sound_assignments,
)
from sitegen.building.driving import Code, run_one
from sitegen.building.engines import Engine
from sitegen.building.publication import Contents, Output
from sitegen.checking import Finding
from sitegen.library import Library
from sitegen.unlisted import FOLDER

_LINK = re.compile(rb'"\.\./\.\./(for/[a-z2-7]+/)')


@dataclass(frozen=True, slots=True)
class SetWork:
    """The files of the unlisted part by their path, the ``unchanged`` folders of it that stand as they are, and the
    page of the ``week`` (empty where nothing is set). ``is_worn`` where pages of an earlier build are among them."""

    files: Mapping[str, Contents]
    unchanged: tuple[str, ...] = ()
    week: str = ""
    is_worn: bool = False


def set_work(
    library: Library, desk: Desk, engine: Engine, code: Code, findings: Iterable[Finding], with_pages: bool = True
) -> Sequence[MadeAssignment]:
    """The assignments made in which the ``findings`` name no error, their steps run by ``engine``."""
    sound = sound_assignments(library.assigned, findings)
    if not sound:
        return ()
    made: Sequence[MadeAssignment] = run_one(
        partial(make_assignments, sound, desk, with_pages), engine, desk.studio.store, code
    )
    return made


def files_of_set_work(
    library: Library,
    desk: Desk,
    made: Sequence[MadeAssignment],
    page: publishing.PublishedLibrary,
    standing: Output | None,
) -> SetWork:
    """What is published of assignments. One at fault keeps its last good pages, with the pieces that these open; where
    the secret is gone, or cannot be used, all that is set stays as it stands."""
    assigned = library.assigned
    if not assigned.meant:
        return SetWork({})
    if not assigned.secret:
        return SetWork({}, (FOLDER.rstrip("/"),) if standing else (), is_worn=standing is not None)
    files: dict[str, Contents] = {}
    unchanged: list[str] = []
    for hand in dict.fromkeys(hand for one in made if one.page for hand in one.hands):
        folder = desk.folder_for(hand)
        if hand in desk.standing:
            unchanged.append(folder.rstrip("/"))
        else:
            files |= {f"{folder}{path}": digest for path, digest in desk.made[hand].files.items()}
    pages = [one.page for one in made if one.page is not None]
    kept: dict[str, Contents] = {}
    if standing is not None:
        good = {one.name for one in made if one.page is not None}
        for name in assigned.meant:
            if name not in good:
                kept |= _last_good(folder_of_assignment(desk.secret, name), standing)
    for shown in pages:
        files |= publishing.render_assignment(page, shown)
    week = folder_of_week(desk.secret)
    files |= publishing.render_week(page, week, pages)
    return SetWork(kept | files, tuple(unchanged), f"{week}index.html", bool(kept))


def _last_good(folder: str, standing: Output) -> dict[str, Contents]:
    """The pages of an assignment as they stand, with the pieces for a hand that they open."""
    data = standing.read(f"{folder}index.html")
    if data is None:
        return {}
    folders = {folder, *(found.decode() for found in _LINK.findall(data))}
    listed = standing.manifest.below([one.rstrip("/") for one in folders])
    return {path: one.sha256 for path, one in listed.items() if standing.stands(path)}


def known_before(
    library: Library, desk: Desk, at_a_glance: Mapping[str, str], unchanged: Iterable[str], standing: Output
) -> None:
    """Put into ``desk`` what the last build knew of pieces that are ``unchanged`` since."""
    known = set(unchanged) & desk.pieces.keys()
    for key, digest in at_a_glance.items():
        if key.partition(" ")[0] in known and desk.studio.store.has(digest):
            desk.outlines[key] = digest
    named = (key.partition(" ") for key in desk.outlines)
    hands = {ForHand(slug, int(span)) for slug, _, span in named if span}
    standing_now = (hand for hand in hands if standing.stands(f"{desk.folder_for(hand)}index.html"))
    desk.standing = frozenset(standing_now) if library.assigned.secret else frozenset()
