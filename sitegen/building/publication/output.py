"""The folder into which a site is published, held by one build from its first question to its last step."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from sitegen.building.digests import digest_of, digest_of_file
from sitegen.building.publication.exchange import bring_to_disk, put_in_place
from sitegen.building.publication.locking import hold_workshop, workshop_of
from sitegen.building.publication.manifest import MANIFEST, Listed, SiteManifest, is_below, read_manifest
from sitegen.building.publication.recovery import (
    IN_WORKSHOP,
    PREVIOUS,
    STAGED,
    always,
    follow_removals,
    put_right,
    retire,
    write_journal,
)
from sitegen.building.publication.staging import Contents, Reader, manifest_of, nothing_more, stage
from sitegen.building.publication.standing import has_bytes, look_at
from sitegen.building.publication.trees import Stamp, mount_points, stamp
from sitegen.errors import ContentError

_OF_VERSION_CONTROL = frozenset(
    {".git", ".gitattributes", ".github", ".gitignore", ".gitkeep", ".gitlab-ci.yml", ".gitmodules"}
)
"""What may lie in the folder of a first site; ``.gitconfig`` lies in somebody's home."""


@dataclass(frozen=True, slots=True)
class Published:
    """What a publication did: the paths written and removed (both empty where nothing differed), and the stamps of all
    files of the site, by which the next one need not read them."""

    manifest: SiteManifest
    written: tuple[str, ...]
    removed: tuple[str, ...]
    stamps: Mapping[str, Stamp]


@dataclass(frozen=True, slots=True)
class Output:
    """The place of a site. ``manifest`` lists the files of the site that stands there, none for a first one. ``known``
    are the stamps that the files had when they were published under that very manifest."""

    folder: Path
    workshop: Path
    manifest: SiteManifest
    known: Mapping[str, Stamp] = field(default_factory=dict)

    def read(self, path: str) -> bytes | None:
        """The bytes of a file of the site that stands; None where it is none, is gone, or is not as it was left."""
        listed, seen = self.manifest.files.get(path), stamp(self.folder / path)
        if listed is None or seen is None or seen.kind != "file":
            return None
        data = (self.folder / path).read_bytes()
        return data if listed == Listed(digest_of(data), len(data)) else None

    def stands(self, path: str) -> bool:
        """Whether a file of the site that stands is there, and as it was left."""
        seen, listed = stamp(self.folder / path), self.manifest.files.get(path)
        if seen is None or listed is None:
            return False
        return self.known.get(path) == seen or has_bytes(self.folder / path, seen, listed)

    def digest_of_manifest(self) -> str:
        """The SHA-256 of the manifest of the site that stands in this place now; empty where there is none."""
        place = self.folder / MANIFEST
        return digest_of_file(place) if place.is_file() else ""

    def publish(
        self, files: Mapping[str, Contents], read: Reader = nothing_more, unchanged: Collection[str] = ()
    ) -> Published:
        """Put the site of ``files`` in the place of the one that stands: all of it in one step, or nothing. What is
        listed of the site that stands below the folders ``unchanged`` is part of the next as it is.

        ``files`` are the contents by path below the site's root; ``read`` has the bytes of those given by their
        digest, and is asked only for what does not stand there already. Nothing is written where nothing differs.
        What no build put there, or somebody has changed since, stays. Raises ``ContentError`` where that stands in
        the way of a file, ``OSError`` where the file system refuses; the old site then stands as it was.
        """
        assert all(is_below(path) and path != MANIFEST for path in files), "paths lead to places below the root"
        manifest = manifest_of(files, self.manifest, read, unchanged)
        standing = look_at(self.folder, self.manifest, self.known)
        if in_the_way := sorted(set(standing.in_the_way(manifest.files))):
            raise _in_the_way(self.folder, in_the_way)
        if standing.manifest == manifest and standing.is_whole():
            return Published(manifest, (), (), standing.ours)
        staged = self.workshop / STAGED
        try:
            staged.mkdir()
            write_journal(self.workshop, standing)
            written = stage(staged, standing, manifest, files, read)
            kept = {path: standing.ours[path] for path in manifest.files if path in standing.ours}
            bring_to_disk(staged)
            if old := put_in_place(staged, self.folder, self.workshop / PREVIOUS):
                before = standing.moved_to(old)
                follow_removals(before, self.folder)
                retire(before, self.folder, always)
        finally:
            put_right(self.workshop, self.folder)
        removed = tuple(sorted(standing.ours.keys() - manifest.files.keys() - {MANIFEST}))
        of_manifest = stamp(self.folder / MANIFEST)
        kept |= written if of_manifest is None else written | {MANIFEST: of_manifest}
        return Published(manifest, tuple(written), removed, kept)


@contextmanager
def hold_output(
    output: Path,
    content: Path,
    waiting: Callable[[], None] = lambda: None,
    known: Mapping[str, Stamp] | None = None,
) -> Iterator[Output]:
    """The folder ``output``, to publish the site of ``content`` into, held by this build alone.

    What a killed build left is put right first. ``waiting`` is called where another build holds it. Raises
    ``ContentError`` before anything is made where ``output`` cannot be the place of this site: it is no folder, holds
    files and no site of ours, or lies in the content, or the content in it.
    """
    folder = Path(os.path.realpath(output))
    seen = _stamp_of_manifest(folder)
    manifest = _refuse(folder, output, content.resolve(), None)
    workshop = workshop_of(folder)
    mend = partial(put_right, workshop, folder)
    with hold_workshop(workshop, IN_WORKSHOP, waiting, mend):
        mend()
        manifest = _refuse(
            folder, output, content.resolve(), manifest if seen and _stamp_of_manifest(folder) == seen else None
        )
        yield Output(folder, workshop, manifest, known or {})


def _stamp_of_manifest(folder: Path) -> tuple[int, int, int] | None:
    """What tells that it is the same manifest: another build writes another file."""
    try:
        seen = os.stat(folder / MANIFEST)
    except OSError:
        return None
    return seen.st_ino, seen.st_size, seen.st_mtime_ns


def _refuse(folder: Path, output: Path, content: Path, known: SiteManifest | None) -> SiteManifest:
    """The manifest of the site that stands in ``folder``, where the site of ``content`` may be published; ``known``
    where it has been read."""
    if folder.is_symlink():  # it has been followed: what is still a link leads round
        raise ContentError("is a link that leads nowhere", "Name another place for the site.", output)
    if not folder.name or os.path.ismount(folder) or str(folder) in mount_points() or folder == _home():
        raise ContentError("cannot be the place of a site", "Name a folder of its own.", output)
    if folder.is_relative_to(content):
        raise ContentError("lies inside the content folder", "Name a place outside of it with --output.", output)
    if content.is_relative_to(folder):
        raise ContentError("holds the content folder", "Name a place beside it with --output.", output)
    if folder.exists() and not folder.is_dir():
        raise ContentError("is not a folder", "Name another place for the site.", output)
    # in this order: a first site that another build puts there meanwhile has its manifest
    strangers = set(os.listdir(folder)) - _OF_VERSION_CONTROL if folder.exists() else set()
    manifest = known or read_manifest(folder)
    if strangers and manifest is None:
        raise ContentError(f"holds '{min(strangers)}' and is no site of ours", "Name an empty folder.", output)
    return manifest or SiteManifest()


def _home() -> Path | None:
    """The home of whoever builds, where he has one."""
    try:
        return Path(os.path.realpath(Path.home()))
    except RuntimeError:
        return None


def _in_the_way(folder: Path, paths: list[str]) -> ContentError:
    more = f", as do {len(paths) - 1} more" if len(paths) > 1 else ""
    return ContentError(
        f"stands where a page must go, and is not as a build left it{more}",
        "Move it away or remove it, and build again; nothing was written.",
        folder / paths[0],
    )
