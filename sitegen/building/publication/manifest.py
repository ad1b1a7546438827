"""``manifest.json`` in the root of a site: every file that the build put there, with its SHA-256 and its size.

It is what tells a site's own files from somebody else's, and whether a site is complete. It does not list itself.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from json.encoder import encode_basestring_ascii as _quoted
from pathlib import Path
from typing import Annotated

import msgspec

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


@dataclass(frozen=True, slots=True)
class Manifest:
    """The files of a site by their path below its root."""

    files: Mapping[str, Listed] = field(default_factory=dict)

    def as_bytes(self) -> bytes:
        """The manifest as it lies in the site: JSON, a line for each file, in the order of the paths."""
        return b"".join(self.in_parts())

    def in_parts(self) -> Iterator[bytes]:
        """``as_bytes``, some at a time: all at once take as much memory as the site's files themselves are known by."""
        yield f'{{"contract":{CONTRACT},"files":{{\n'.encode()
        before, paths = "", iter(sorted(self.files))
        while some := list(islice(paths, _AT_ONCE)):
            listed = ((path, self.files[path]) for path in some)
            lines = (f'{_quoted(path)}:{{"sha256":"{one.sha256}","size":{one.size}}}' for path, one in listed)
            yield (before + ",\n".join(lines)).encode()
            before = ",\n"
        yield b"\n}}\n"

    def below(self, folders: Collection[str]) -> dict[str, Listed]:
        """The files below these ``folders``, by their path from the site's root."""
        lies_in = dict.fromkeys(folders, True) | {"": False}

        def is_in(folder: str) -> bool:
            if folder not in lies_in:
                lies_in[folder] = is_in(folder.rpartition("/")[0])
            return lies_in[folder]

        return {path: listed for path, listed in self.files.items() if is_in(path.rpartition("/")[0])}


def read_manifest(site: Path) -> Manifest | None:
    """The manifest of the site in a folder; None where there is none, or one that no build of ours wrote, which a link
    never is."""
    place = site / MANIFEST
    if place.is_symlink():
        return None
    try:
        kept = msgspec.json.decode(place.read_bytes(), type=_Kept)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None
    is_ours = kept.contract == CONTRACT and MANIFEST not in kept.files and all(map(is_below, kept.files))
    return Manifest(kept.files) if is_ours else None


def is_below(path: str) -> bool:
    """Whether ``path`` leads to a place below the folder that it is relative to, on every system."""
    return len(path) <= _LONGEST and _BELOW.fullmatch(path) is not None
