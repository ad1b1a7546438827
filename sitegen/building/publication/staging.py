"""The next site, made beside the one that stands: what has not changed is linked, what has is written."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Collection, Mapping
from pathlib import Path

from sitegen.building.digests import digest_of
from sitegen.building.publication.manifest import MANIFEST, Listed, SiteManifest
from sitegen.building.publication.standing import Standing
from sitegen.building.publication.trees import Stamp, stamp_of

#: A file to be published: its bytes, or their SHA-256 where a ``Reader`` has them.
Contents = bytes | str
#: Gives the bytes of a SHA-256. Raises ``KeyError`` for one that it does not have.
Reader = Callable[[str], bytes]


def manifest_of(
    files: Mapping[str, Contents], standing: SiteManifest, read: Reader, unchanged: Collection[str] = ()
) -> SiteManifest:
    """The manifest of the site that holds ``files``, and what ``standing`` lists below the folders ``unchanged``. Only
    what ``standing`` does not list under its path is read, for its size."""
    listed = standing.below(unchanged)
    for path, contents in files.items():
        before = standing.files.get(path)
        if isinstance(contents, bytes):
            now = Listed(digest_of(contents), len(contents))
        elif before is not None and before.sha256 == contents:
            now = before
        else:
            now = Listed(contents, len(read(contents)))
        listed[path] = before if before == now else now
    return SiteManifest({path: listed[path] for path in sorted(listed)})


def nothing_more(digest: str) -> bytes:
    """The reader of a site whose files are all given as bytes, or stand already."""
    raise KeyError(digest)


def stage(
    staged: Path, standing: Standing, manifest: SiteManifest, files: Mapping[str, Contents], read: Reader
) -> dict[str, Stamp]:
    """Fill the empty folder ``staged`` with the site of ``manifest`` and with what is somebody else's in the one that
    stands. The files that were written, but for the manifest, with the stamps that they have. Raises ``OSError``."""
    made: set[str] = {""}
    written = {}
    source, target = str(standing.folder), str(staged)
    for path, listed in manifest.files.items():
        if path.rpartition("/")[0] not in made:
            _make_folders(target, path, made)
        if standing.is_same(path, listed):
            _link(source, target, path)
            continue
        contents = files.get(path, listed.sha256)
        data = contents if isinstance(contents, bytes) else read(contents)
        with open(f"{target}/{path}", "xb") as file:
            file.write(data)
        written[path] = stamp_of(os.lstat(f"{target}/{path}"))
    for path, seen in standing.foreign.items():
        if path not in manifest.files:
            _make_folders(target, path, made)
            if seen.kind != "folder":
                _link(source, target, path)
            elif path not in made:
                os.mkdir(f"{target}/{path}")
                made.add(path)
    with open(staged / MANIFEST, "xb") as file:
        file.writelines(manifest.in_parts())
    if standing.folder.exists():
        for path in reversed([path for path, seen in standing.foreign.items() if seen.kind == "folder"]):
            shutil.copystat(standing.folder / path, staged / path)
        shutil.copymode(standing.folder, staged)
    return written


def _make_folders(staged: str, path: str, made: set[str]) -> None:
    """The folders in which ``path`` lies, where they are not ``made`` yet."""
    above = path.rpartition("/")[0]
    if above not in made:
        _make_folders(staged, above, made)
        os.mkdir(f"{staged}/{above}")
        made.add(above)


def _link(source: str, target: str, path: str) -> None:
    """The same file under ``target`` too; a copy where the file system cannot link it."""
    try:
        os.link(f"{source}/{path}", f"{target}/{path}", follow_symlinks=False)
    except OSError:
        shutil.copy2(f"{source}/{path}", f"{target}/{path}", follow_symlinks=False)
