"""``bundle.json``, the manifest of a bundle: what piece it is, which version, what lies in it.

A version of a piece is known by its digest: the SHA-256 of the list of its files, each line a file's SHA-256, two
spaces and its path, as ``sha256sum`` writes it. ``history`` has the digests of all versions that this one was made
from, the first of them the piece's lasting id, the last its own. The same object lies in the folder of a piece that was
packed or unpacked, as ``.bundle.json``: it tells what the teacher has changed since, and what comes after what.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from sitegen.errors import ContentError
from sitegen.sharing.limits import LARGEST_BUNDLE, LONGEST_PATH, MOST_FILES, MOST_VERSIONS

FORMAT = "sitegen bundle"
VERSION = 1
MANIFEST = "bundle.json"
RECORD = ".bundle.json"
"""The manifest of the version that a piece was last packed or unpacked as, in the piece's folder."""

Digest = Annotated[str, Meta(pattern="^[0-9a-f]{64}$", description="a SHA-256, in hexadecimal")]
BundleLine = Annotated[str, Meta(max_length=1000)]


class Packed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A file of a bundle: its path below the folder of the piece, its bytes counted, and their SHA-256."""

    path: Annotated[str, Meta(min_length=1, max_length=LONGEST_PATH)]
    size: Annotated[int, Meta(ge=0, le=LARGEST_BUNDLE)]
    sha256: Digest


class Credit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Who made what: the fields of ``piece.md`` that go with a piece wherever it goes."""

    title: BundleLine
    composer: BundleLine = ""
    licence: BundleLine = ""
    source: BundleLine = ""
    encoder: BundleLine = ""


class Manifest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A bundle's manifest. ``name`` is the name of the piece's folder, ``studios`` who had a hand in it, in order."""

    format: str
    version: int
    name: Annotated[str, Meta(pattern="^[a-z0-9]+(-[a-z0-9]+)*$", max_length=200)]
    history: Annotated[tuple[Digest, ...], Meta(min_length=1, max_length=MOST_VERSIONS)]
    studios: Annotated[tuple[BundleLine, ...], Meta(max_length=MOST_VERSIONS)]
    piece: Credit
    files: Annotated[tuple[Packed, ...], Meta(min_length=1, max_length=MOST_FILES)]

    @property
    def id(self) -> str:
        """What the piece keeps through all its versions."""
        return self.history[0]

    @property
    def digest(self) -> str:
        """What tells this version from all others."""
        return self.history[-1]

    def is_before(self, other: Manifest) -> bool:
        """Whether ``other`` was made from this version of the piece."""
        mine, others = self.history, other.history
        return len(mine) < len(others) and others[: len(mine)] == mine

    @property
    def sums(self) -> dict[str, str]:
        """The SHA-256 of each file by its path."""
        return {file.path: file.sha256 for file in self.files}


class _Head(msgspec.Struct):
    format: str
    version: int


def packed_files(contents: Mapping[str, bytes]) -> tuple[Packed, ...]:
    """The entries of these files, in the order of their paths."""
    return tuple(Packed(path, len(data), hashlib.sha256(data).hexdigest()) for path, data in sorted(contents.items()))


def digest_of_files(packed: tuple[Packed, ...]) -> str:
    """The digest of a version that consists of these files."""
    lines = (f"{file.sha256}  {file.path}\n" for file in sorted(packed, key=lambda file: file.path))
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def to_json(manifest: Manifest) -> bytes:
    """The manifest as it is written: the same bytes for the same manifest."""
    return json.dumps(msgspec.to_builtins(manifest), ensure_ascii=False, indent=1).encode() + b"\n"


def read_manifest(data: bytes, file: object) -> Manifest:
    """The manifest that ``data`` holds. Raises ``ContentError``, naming ``file``, for anything else, and for one of
    another version."""
    named = str(file)
    try:
        head = msgspec.json.decode(data, type=_Head)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise ContentError(f"its manifest cannot be read ({_short(error)})", ASK, named) from error
    if head.format != FORMAT:
        raise ContentError(f"its manifest is of another format, '{head.format[:40]}'", ASK, named)
    if head.version != VERSION:
        remedy = "Bring this program up to date, or ask for a bundle made by one like it."
        what = f"its manifest has version {head.version}; this program reads version {VERSION}"
        raise ContentError(what, remedy, named)
    try:
        manifest = msgspec.json.decode(data, type=Manifest)
    except (msgspec.MsgspecError, RecursionError) as error:
        raise ContentError(f"its manifest is not as it must be ({_short(error)})", ASK, named) from error
    if digest_of_files(manifest.files) != manifest.digest:
        raise ContentError("its manifest names a digest that is not that of its files", ASK, named)
    return manifest


ASK = "Ask for it anew, as 'sitegen pack' makes it."


def load_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of ``bundle.json``."""
    text = (files("sitegen.sharing") / "schemas" / "bundle.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def make_schema() -> dict[str, Any]:
    """The schema as the types above have it; the file beside this module is that."""
    schema = msgspec.json.schema(Manifest)
    constants = {"format": {"const": FORMAT}, "version": {"const": VERSION}}
    schema["$defs"]["Manifest"]["properties"] |= constants
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Manifest of a bundle", **schema}


def _short(error: Exception) -> str:
    return str(error)[:120].rstrip(".")
