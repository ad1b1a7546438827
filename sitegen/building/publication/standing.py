"""The site that stands: which of its files a build put there and are as it left them, and what is somebody else's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen.building.digests import digest_of_file
from sitegen.building.publication.manifest import MANIFEST, Listed, SiteManifest
from sitegen.building.publication.trees import Stamp, folders_of, look_through, stamp


@dataclass(frozen=True, slots=True)
class Standing:
    """What lies in ``folder``. ``ours`` are the files that its manifest lists and that have the bytes listed, the
    manifest itself with them; ``foreign`` is everything else, but for folders that were made for files of ours."""

    folder: Path
    manifest: SiteManifest
    ours: Mapping[str, Stamp]
    foreign: Mapping[str, Stamp]

    def in_the_way(self, site: Mapping[str, Listed]) -> Iterator[str]:
        """What is somebody else's and stands where a file of ``site`` must go, or a folder for it; a file with the
        very bytes that must go there does not."""
        ways = folders_of(site)
        for path, seen in self.foreign.items():
            if (path in site and not self.is_same(path, site[path])) or (path in ways and seen.kind != "folder"):
                yield path
        yield from folders_of(self.foreign) & site.keys()

    def is_same(self, path: str, listed: Listed) -> bool:
        """Whether the file at ``path`` has the bytes that are listed."""
        if path in self.ours and path != MANIFEST:
            ours = self.manifest.files[path]
            return ours is listed or ours == listed
        seen = self.foreign.get(path)
        return seen is not None and has_bytes(self.folder / path, seen, listed)

    def moved_to(self, folder: Path) -> Standing:
        """The same, in the folder to which the site was moved."""
        return Standing(folder, self.manifest, self.ours, self.foreign)

    def is_whole(self) -> bool:
        """Whether everything that the manifest lists is there and as it was left."""
        return len(self.ours) == len(self.manifest.files) + 1


def look_at(folder: Path, manifest: SiteManifest, known: Mapping[str, Stamp]) -> Standing:
    """What stands in ``folder``, which may not be there, and has this manifest. A file that has the stamp in ``known``
    is taken to have the bytes that are listed without reading it. Raises as ``look_through`` does."""
    if not folder.is_dir():
        return Standing(folder, SiteManifest(), {}, {})
    made_by_us = folders_of(manifest.files)
    as_known = 0
    ours: dict[str, Stamp] = {}
    foreign: dict[str, Stamp] = {}
    for path, seen in look_through(folder):
        listed = manifest.files.get(path)
        if listed is not None and known.get(path) == seen:
            as_known += 1
        elif path == MANIFEST or (listed is not None and has_bytes(folder / path, seen, listed)):
            ours[path] = seen
        elif seen.kind != "folder" or path not in made_by_us:
            foreign[path] = seen
    stood = {path: seen for path, seen in known.items() if path in manifest.files and path not in ours}
    if as_known != len(stood):  # some are gone, or somebody has changed them
        stood = {path: seen for path, seen in stood.items() if path not in foreign and stamp(folder / path) == seen}
    return Standing(folder, manifest, stood | ours, foreign)


def has_bytes(place: Path, seen: Stamp, listed: Listed) -> bool:
    """Whether the file at ``place``, which looks like ``seen``, has the bytes that are listed."""
    return seen.kind == "file" and seen.size == listed.size and digest_of_file(place) == listed.sha256
