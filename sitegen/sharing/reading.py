"""Reading a bundle into memory, everything about the file itself checked; nothing is written."""

from __future__ import annotations

import hashlib
import io
import stat
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.library.folders import PIECE
from sitegen.sharing.kinds import fault_of_kind
from sitegen.sharing.limits import (
    LARGEST_BUNDLE,
    LARGEST_MANIFEST,
    LARGEST_WHOLE,
    MOST_FILES,
    MOST_TIMES,
    SMALL,
)
from sitegen.sharing.manifest import ASK, MANIFEST, Manifest, read_manifest
from sitegen.sharing.paths import fault_of_path, first_alike

_ENCRYPTED = 0x1 | 0x40 | 0x2000
_LOCAL_HEAD = 30  # bytes before the name of a file in a zip
_END = 22  # bytes of the record that a zip ends with
_METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError, OSError)
_MB = 1_000_000


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle that was read: its manifest, and the bytes of its files by their path below the folder of the piece."""

    manifest: Manifest
    files: Mapping[str, bytes]


def read_bundle(file: Path) -> Bundle:
    """The bundle ``file``. Raises ``ContentError``, one line naming it, for whatever is not as ``sitegen pack`` makes
    it: what lies outside the piece's folder, is no plain file, too large or too many, of another name, kind or sum."""
    data = _bytes_of(file)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            _check_entries(entries, archive, data, file)
            texts = {entry.filename: _unpacked(archive, entry, file) for entry in entries}
    except _DAMAGED as error:
        raise _refused("is no zip that can be read, or only a part of one", file) from error
    manifest = read_manifest(texts.pop(MANIFEST), file)
    _check_files(manifest, texts, file)
    if PIECE not in texts:
        raise _refused(f"holds no '{PIECE}'", file)
    return Bundle(manifest, texts)


def _bytes_of(file: Path) -> bytes:
    try:
        state = file.stat()
        if not stat.S_ISREG(state.st_mode):
            raise ContentError("is no file", "Name the bundle, a file that 'sitegen pack' made.", file)
        if state.st_size > LARGEST_BUNDLE:
            raise _refused(f"has more than {LARGEST_BUNDLE // _MB} MB, the most that a bundle has", file)
        return file.read_bytes()
    except FileNotFoundError as error:
        raise ContentError("is not there", "Name the bundle, a file that 'sitegen pack' made.", file) from error


def _check_entries(entries: Sequence[zipfile.ZipInfo], archive: zipfile.ZipFile, data: bytes, file: Path) -> None:
    """Refuse by what the zip says of its files, before anything is unpacked."""
    if len(entries) > MOST_FILES + 1:
        raise _refused(f"holds {len(entries)} files; a bundle has {MOST_FILES} at most", file)
    for entry in entries:
        if (fault := fault_of_path(entry.orig_filename)) or (fault := fault_of_path(entry.filename)):
            raise _refused(f"holds {fault}", file)
    if alike := first_alike(entry.filename for entry in entries):
        one, other = alike
        told = f"'{one}' twice" if one == other else f"'{one}' and '{other}', which are one on some systems"
        raise _refused(f"holds {told}", file)
    for entry in entries:
        if fault := _fault_of_entry(entry):
            raise _refused(f"holds '{entry.filename}', {fault}", file)
    if sum(entry.file_size for entry in entries) > LARGEST_WHOLE:
        raise _refused(f"unpacks to more than {LARGEST_WHOLE // _MB} MB", file)
    if MANIFEST not in {entry.filename for entry in entries}:
        raise _refused(f"holds no '{MANIFEST}', so it is no bundle", file)
    _check_layout(entries, archive, data, file)


def _fault_of_entry(entry: zipfile.ZipInfo) -> str | None:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if kind == stat.S_IFLNK:
        return "a link"
    if kind not in (0, stat.S_IFREG):
        return "a device, a pipe or a folder"
    if entry.flag_bits & _ENCRYPTED:
        return "which is encrypted"
    if entry.compress_type not in _METHODS:
        return "which is packed in another way than by deflating"
    if entry.file_size > SMALL and entry.file_size > MOST_TIMES * max(1, entry.compress_size):
        return f"which unpacks to more than {MOST_TIMES} times its size"
    if entry.filename == MANIFEST and entry.file_size > LARGEST_MANIFEST:
        return f"a manifest of more than {LARGEST_MANIFEST // 1000} kB"
    return None


def _check_layout(entries: Sequence[zipfile.ZipInfo], archive: zipfile.ZipFile, data: bytes, file: Path) -> None:
    """One file of the zip lies behind the other, from its first byte on: none within another, which a small zip of
    endless contents would have, and nothing before or behind them, which would be a file of another kind too."""
    places = sorted((entry.header_offset, entry.compress_size) for entry in entries)
    if places[0][0] != 0 or data[-_END:][:4] != b"PK\x05\x06":
        raise _refused("holds something before its first file, or behind its last", file)
    for (place, size), (following, _) in pairwise([*places, (archive.start_dir, 0)]):
        if place + _LOCAL_HEAD + size > following:
            raise _refused("holds files that lie in each other", file)


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, file: Path) -> bytes:
    with archive.open(entry) as opened:
        data = opened.read(entry.file_size + 1)
    if len(data) != entry.file_size:
        raise _refused(f"holds '{entry.filename}', which is not as long as it says", file)
    return data


def _check_files(manifest: Manifest, files: Mapping[str, bytes], file: Path) -> None:
    listed = {one.path: one for one in manifest.files}
    if len(listed) != len(manifest.files):
        raise _refused("its manifest lists a file twice", file)
    if unknown := sorted(files.keys() - listed.keys()):
        raise _refused(f"holds '{unknown[0]}', which its manifest does not list", file)
    if lacking := sorted(listed.keys() - files.keys()):
        raise _refused(f"lacks '{lacking[0]}', which its manifest lists", file)
    for path, data in sorted(files.items()):
        if len(data) != listed[path].size or hashlib.sha256(data).hexdigest() != listed[path].sha256:
            raise _refused(f"holds '{path}', whose SHA-256 is not the one that its manifest has", file)
        if fault := fault_of_kind(path, data):
            raise _refused(f"holds '{path}', {fault}", file)


def _refused(what: str, file: Path) -> ContentError:
    return ContentError(what, ASK, file)
