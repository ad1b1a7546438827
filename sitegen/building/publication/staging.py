"""The next site, made beside the one that stands: what has not changed is linked, what has is written."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

from sitegen.building.digests import digest_of
from sitegen.building.publication.manifest import MANIFEST, Listed, Manifest
from sitegen.building.publication.standing import Standing
from sitegen.building.publication.trees import Stamp, stamp_of

#: A file to be published: its bytes, or their SHA-256 where a ``Reader`` has them.
Contents = bytes | str
#: Gives the bytes of a SHA-256. Raises ``KeyError`` for one that it does not have.
Reader = Callable[[str], bytes]


def manifest_of(files: Mapping[str, Contents], standing: Manifest, read: Reader) -> Manifest:
    """The manifest of the site that holds ``files``. Only what ``standing`` does not list under its path is read, for
    its size."""
    listed = {}
    for path, contents in files.items():
        if isinstance(contents, bytes):
            listed[path] = Listed(digest_of(contents), len(contents))
            continue
        before = standing.files.get(path)
        listed[path] = before if before and before.sha256 == contents else Listed(contents, len(read(contents)))
    return Manifest(dict(sorted(listed.items())))


def nothing_more(digest: str) -> bytes:
    """The reader of a site whose files are all given as bytes, or stand already."""
    raise KeyError(digest)


def stage(
    staged: Path, standing: Standing, manifest: Manifest, files: Mapping[str, Contents], read: Reader
) -> dict[str, Stamp]:
    """Fill the empty folder ``staged`` with the site of ``manifest`` and with what is somebody else's in the one that
    stands. The files that were written, but for the manifest, with the stamps that they have. Raises ``OSError``."""
    made: set[str] = set()
    written = {}
    for path, listed in manifest.files.items():
        _make_folders(staged, path, made)
        if standing.is_same(path, listed):
            _link(standing.folder, staged, path)
            continue
        contents = files[path]
        data = contents if isinstance(contents, bytes) else read(contents)
        with open(staged / path, "xb") as file:
            file.write(data)
        written[path] = stamp_of(os.lstat(staged / path))
    for path, seen in standing.foreign.items():
        if path not in manifest.files:
            _make_folders(staged, path, made)
            if seen.kind != "folder":
                _link(standing.folder, staged, path)
            elif path not in made:
                os.mkdir(staged / path)
                made.add(path)
    (staged / MANIFEST).write_bytes(manifest.as_bytes())
    if standing.folder.exists():
        for path in reversed([path for path, seen in standing.foreign.items() if seen.kind == "folder"]):
            shutil.copystat(standing.folder / path, staged / path)
        shutil.copymode(standing.folder, staged)
    return written


def _make_folders(staged: Path, path: str, made: set[str]) -> None:
    """The folders in which ``path`` lies, where they are not ``made`` yet."""
    above = path.rpartition("/")[0]
    if above and above not in made:
        _make_folders(staged, above, made)
        os.mkdir(f"{staged}/{above}")
        made.add(above)


def _link(source: Path, target: Path, path: str) -> None:
    """The same file under ``target`` too; a copy where the file system cannot link it."""
    try:
        os.link(f"{source}/{path}", f"{target}/{path}", follow_symlinks=False)
    except OSError:
        shutil.copy2(f"{source}/{path}", f"{target}/{path}", follow_symlinks=False)
