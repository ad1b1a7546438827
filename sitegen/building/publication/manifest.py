"""``manifest.json`` in the root of a site: every file that the build put there, with its SHA-256 and its size.

It is what tells a site's own files from somebody else's, and whether a site is complete. It does not list itself. It is
published too, so it names no unlisted page: of a file of such a page it has the SHA-256 of the path in place of the
path. Who holds the folder finds out which file is meant, by those that lie there; who does not, learns nothing.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from json.encoder import encode_basestring_ascii as _quoted
from pathlib import Path
from typing import Annotated

import msgspec

from sitegen.unlisted import FOLDER, is_unlisted

CONTRACT = 1
MANIFEST = "manifest.json"
_AT_ONCE = 2000
_BELOW = re.compile(r"(?!\.{0,2}(/|$)|.*/\.{0,2}(/|$))[^\\]+", re.DOTALL)
_LONGEST = 1024  # bytes of a path that every system takes


class Listed(msgspec.Struct, frozen=True, gc=False):
    """A file of the site: the SHA-256 of its bytes in hexadecimal, and how many bytes there are."""

    sha256: Annotated[str, msgspec.Meta(pattern="^[0-9a-f]{64}$")]
    size: int


class _Kept(msgspec.Struct):
    """The manifest as it lies in the site."""

    contract: int
    files: dict[str, Listed]
    unlisted: dict[str, Listed] = {}


@dataclass(frozen=True, slots=True)
class SiteManifest:
    """The files of a site by their path below its root; of unlisted ones that are ``gone`` only the SHA-256 of the path
    is known."""

    files: Mapping[str, Listed] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()

    def in_parts(self) -> Iterator[bytes]:
        """The manifest as it lies in the site, JSON, a line for each file, in order of path, some at a time: all
        at once take as much memory as the site's files themselves are known by."""
        yield f'{{"contract":{CONTRACT},"files":{{\n'.encode()
        yield from _lines((path, self.files[path]) for path in sorted(self.files) if not is_unlisted(path))
        unlisted = sorted((_digest_of_path(path), one) for path, one in self.files.items() if is_unlisted(path))
        if unlisted:
            yield b'\n},"unlisted":{\n'
            yield from _lines(iter(unlisted))
        yield b"\n}}\n"

    def below(self, folders: Collection[str]) -> dict[str, Listed]:
        """The files below these ``folders``, by their path from the site's root."""
        lies_in = dict.fromkeys(folders, True) | {"": False}

        def is_in(folder: str) -> bool:
            if folder not in lies_in:
                lies_in[folder] = is_in(folder.rpartition("/")[0])
            return lies_in[folder]

        return {path: listed for path, listed in self.files.items() if is_in(path.rpartition("/")[0])}


def _lines(listed: Iterator[tuple[str, Listed]]) -> Iterator[bytes]:
    before = ""
    while some := list(islice(listed, _AT_ONCE)):
        lines = (f'{_quoted(path)}:{{"sha256":"{one.sha256}","size":{one.size}}}' for path, one in some)
        yield (before + ",\n".join(lines)).encode()
        before = ",\n"


def _digest_of_path(path: str) -> str:
    return hashlib.sha256(path.encode()).hexdigest()


def _found_unlisted(site: Path, unlisted: Mapping[str, Listed]) -> dict[str, Listed]:
    """Which files of unlisted pages lie in a site: those whose path has one of the SHA-256."""
    root = site / FOLDER
    if not unlisted or root.is_symlink() or not root.is_dir():
        return {}
    below = (
        f"{FOLDER}{Path(folder, name).relative_to(root).as_posix()}"
        for folder, _, names in os.walk(root)
        for name in names
    )
    return {path: unlisted[it] for path in below if _is_utf8(path) and (it := _digest_of_path(path)) in unlisted}


def _is_utf8(name: str) -> bool:
    """Whether a name is UTF-8; no file of ours has another."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True


def read_manifest(site: Path) -> SiteManifest | None:
    """The manifest of the site in a folder; None where there is none, or one that no build of ours wrote, which a link
    never is."""
    place = site / MANIFEST
    if place.is_symlink():
        return None
    try:
        kept = msgspec.json.decode(place.read_bytes(), type=_Kept)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None
    if kept.contract != CONTRACT or MANIFEST in kept.files or not all(map(is_below, kept.files)):
        return None
    found = _found_unlisted(site, kept.unlisted)
    return SiteManifest(kept.files | found, frozenset(kept.unlisted) - {_digest_of_path(path) for path in found})


def is_below(path: str) -> bool:
    """Whether ``path`` leads to a place below the folder that it is relative to, on every system."""
    return len(path) <= _LONGEST and _BELOW.fullmatch(path) is not None
