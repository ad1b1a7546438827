"""The folder that a preview is served from: each piece is made again when its own files change, and no other."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.apart import USUAL, Limits
from sitegen.building.asking import Studio
from sitegen.building.assignments import Desk, MadeAssignment
from sitegen.building.codec import from_bytes
from sitegen.building.driving import Code, run_one
from sitegen.building.engines import Engine
from sitegen.building.engines.in_process import InProcess
from sitegen.building.joining import load_with_joined, works_in
from sitegen.building.looking import Looked, idle_wishes, look_at
from sitegen.building.pieces import MadePiece, make_pages
from sitegen.building.scheduling import Plan
from sitegen.building.set_work import files_of_set_work, set_work
from sitegen.building.shell import Shelved, shell_files
from sitegen.building.store import Store
from sitegen.building.studios import studio_of, studio_page
from sitegen.checking import Finding
from sitegen.checking.validations import check_library
from sitegen.checking.words import own_words, theme_of
from sitegen.library import Library, Piece
from sitegen.publishing.outputs import words as words_file


@dataclass(slots=True)
class PreviewFolder:
    """``content`` published into ``folder``, a piece at a time, its steps run by ``engine``, without one in this
    process. ``version`` counts the changes of pages; ``reference`` is the page for teachers."""

    content: Path
    folder: Path
    store: Store
    reference: str = ""
    engine: Engine | None = None
    limits: Limits = USUAL
    version: int = 0
    findings: tuple[Finding, ...] = ()
    _stamps: dict[str, str] = field(default_factory=dict)
    _made: dict[str, MadePiece] = field(default_factory=dict)
    _cards: dict[str, publishing.GalleryCard] = field(default_factory=dict)
    _words: dict[str, str] = field(default_factory=dict)
    week: str = ""
    _shell: str = ""
    _set: str = ""
    _set_findings: tuple[Finding, ...] = ()
    _set_files: frozenset[str] = frozenset()

    def refresh(self, made_again: Callable[[str], None] = lambda slug: None) -> tuple[str, ...]:
        """Make what has changed, and return the slugs of the pieces that were looked at again; ``made_again`` is called
        with each as soon as it can be seen.

        A piece at fault keeps its last good pages, and what is at fault is in ``findings``. Raises ``ContentError``
        where the content folder is not there.
        """
        library = load_with_joined(self.content, self.store)
        stamps = {piece.slug: _stamp(library, piece) for piece in library.pieces}
        changed = [piece for piece in library.pieces if self._stamps.get(piece.slug) != stamps[piece.slug]]
        studio, code = self._studio(library), Code(self.store)
        engine = self.engine or InProcess(self.store)
        looked: dict[str, Looked] = {}
        for piece in changed:
            looked[piece.slug], made = run_one(partial(_pages, piece, studio), engine, self.store, code)
            self._stamps[piece.slug] = stamps[piece.slug]
            self._made[piece.slug] = made
            if made.is_published:
                self._put(f"pieces/{piece.slug}/", {path: self.store.get(it) for path, it in made.files.items()})
                self._cards[piece.slug] = from_bytes(self.store.get(made.card), publishing.GalleryCard)
                self._words[piece.slug] = made.files[words_file.FILE]
            self._publish_shell(library)
            self.version += 1
            self._find(library)
            made_again(piece.slug)
        # what needs time and changes no page is looked for when the pages are there
        for piece in changed:
            idle = run_one(partial(idle_wishes, piece, studio, looked[piece.slug]), engine, self.store, code)
            made = self._made[piece.slug]
            self._made[piece.slug] = replace(made, findings=(*made.findings, *idle))
        unread = set(self._stamps) - set(stamps)
        gone = (set(self._cards) | unread) - library.slugs
        for slug in unread:
            del self._stamps[slug]
            self._made.pop(slug, None)
        for slug in gone:
            self._cards.pop(slug, None)
            self._words.pop(slug, None)
            shutil.rmtree(self.folder / "pieces" / slug, ignore_errors=True)
        is_shelved_anew = self._publish_shell(library)
        is_set_anew = self._publish_set_work(library, studio, engine, code)
        if gone or is_shelved_anew or is_set_anew:
            self.version += 1
        self._find(library)
        return tuple(piece.slug for piece in changed)

    def _studio(self, library: Library) -> Studio:
        return studio_of(library.studio, library.slugs, self.store, self.limits, works_in(library), self._own(library))

    def _own(self, library: Library) -> dict[str, str]:
        return own_words(library.studio, library.worded)

    def _publish_shell(self, library: Library) -> bool:
        """The gallery and whatever else belongs to no piece, where it has changed; whether it has."""
        shell = repr(
            (
                library.studio,
                library.worded,
                sorted(self._cards.items()),
                sorted(self._words.items()),
                library.collected,
            )
        )
        if shell == self._shell:
            return False
        self._shell = shell
        look = publishing.find_theme(theme_of(library.studio))
        shelved = Shelved(list(self._cards.values()), self._words, library.collected.collections)
        page = studio_page(library.studio, self._own(library), self.reference)
        files = shell_files(look, page, shelved, self.store, Code(self.store))
        self._put("", {path: self.store.get(it) if isinstance(it, str) else it for path, it in files.items()})
        return True

    def _publish_set_work(self, library: Library, studio: Studio, engine: Engine, code: Code) -> bool:
        """The pages of assignments, where something has changed that they are made from; whether it has."""
        seen = repr((library.assigned, library.studio, library.worded, sorted(self._stamps.items())))
        if seen == self._set:
            return False
        self._set = seen
        pieces = {piece.slug: piece for piece in library.pieces if self._made[piece.slug].is_published}
        desk = Desk(studio, library.assigned.secret, pieces)
        made = set_work(library, desk, engine, code, check_library(library))
        page = studio_page(library.studio, self._own(library), self.reference)
        unlisted = files_of_set_work(library, desk, made, page, None)
        files = {path: it if isinstance(it, bytes) else self.store.get(it) for path, it in unlisted.files.items()}
        self._put("", files)
        if sum(one.page is not None for one in made) == len(library.assigned.meant):  # else the last good pages stay
            for path in self._set_files - files.keys():
                (self.folder / path).unlink(missing_ok=True)
            self._set_files = frozenset(files)
        else:
            self._set_files |= files.keys()
        self._set_findings, self.week = _all_findings(made), unlisted.week
        return True

    def _find(self, library: Library) -> None:
        """What is at fault now."""
        found = [*check_library(library)]
        found += [finding for slug in sorted(self._made) for finding in self._made[slug].findings]
        self.findings = (*found, *self._set_findings)

    def state(self) -> dict[str, Any]:
        """What the pages ask for: the version, and every finding as a line."""
        told = [{"severity": f.severity, "text": str(f)} for f in self.findings]
        return {"version": self.version, "findings": told}

    def _put(self, below: str, files: dict[str, bytes]) -> None:
        for path, data in files.items():
            place = self.folder / below / path
            if place.is_file() and place.read_bytes() == data:
                continue
            place.parent.mkdir(parents=True, exist_ok=True)
            beside = place.with_name(f".{place.name}.new")
            beside.write_bytes(data)
            os.replace(beside, place)


def _all_findings(made: Sequence[MadeAssignment]) -> tuple[Finding, ...]:
    return tuple(finding for one in made for finding in one.findings)


def _pages(piece: Piece, studio: Studio) -> Plan:
    """What is found in looking at a piece, and its pages with what was found in all."""
    looked = yield from look_at(piece, studio)
    made: MadePiece = yield from make_pages(piece, studio, looked)
    return looked, replace(made, findings=(*looked.findings, *made.findings))


def _stamp(library: Library, piece: Piece) -> str:
    """Changes whenever something does that the pages of ``piece`` are made from."""
    files = [piece.file] if piece.bare else sorted(p for p in piece.folder.rglob("*") if p.is_file())
    looks = []
    for file in files:
        try:
            state = file.stat()
        except OSError:  # an editor's file that is gone again
            continue
        looks.append((file.as_posix(), state.st_size, state.st_mtime_ns))
    return repr((looks, library.studio, library.worded, sorted(library.slugs), works_in(library).get(piece.slug)))
