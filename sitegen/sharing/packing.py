"""``sitegen pack``: the folder of a piece as one file to hand on, the same bytes for the same piece."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen.apart import USUAL, Limits
from sitegen.errors import ContentError
from sitegen.library import Piece, load_piece, slug_of
from sitegen.sharing.contents import could_run, credit_of, files_of, piece_in
from sitegen.sharing.examining import read_scores
from sitegen.sharing.limits import MOST_TIMES, MOST_VERSIONS, SMALL
from sitegen.sharing.manifest import (
    FORMAT,
    MANIFEST,
    RECORD,
    VERSION,
    Manifest,
    digest_of_files,
    packed_files,
    read_manifest,
    to_json,
)
from sitegen.sharing.reading import read_bundle

ENDING = ".bundle.zip"
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # of a zip's calendar: when a file was written is nobody's business
_PLAIN_FILE = 0o100644 << 16
_LEVEL = 9


@dataclass(frozen=True, slots=True)
class PackedPiece:
    """A bundle that was written, and its manifest."""

    file: Path
    manifest: Manifest


def pack_piece(folder: Path, to: Path | None = None, limits: Limits = USUAL) -> PackedPiece:
    """The piece of ``folder`` as a bundle: the file ``to``, else one named after the piece in the current folder.

    The folder gets the bundle's manifest as ``.bundle.json``, by which later versions are known as the same piece.
    Raises ``ContentError`` where the piece is at fault, or what is at ``to`` is no bundle, and ``ScoreError`` where a
    score cannot be read (apart and within ``limits``): whoever got it would refuse it.
    """
    folder = folder if folder.is_dir() else folder.parent
    piece = piece_in(folder)
    if fault := could_run(piece):
        raise fault
    contents = files_of(piece)
    read_scores(folder, contents, limits)
    manifest = _manifest_of(piece, contents)
    file = to or Path(slug_of(folder.resolve().name) + ENDING)
    data = bundle_bytes(manifest, contents)
    _write(data, file)
    if record_of(folder) != manifest:
        write_record(folder, manifest)
    return PackedPiece(file, manifest)


def record_of(folder: Path) -> Manifest | None:
    """The version that the piece of ``folder`` was last packed or unpacked as; None where that is not known."""
    file = folder / RECORD
    try:
        return read_manifest(file.read_bytes(), file) if file.is_file() else None
    except (ContentError, OSError):
        return None


def write_record(folder: Path, manifest: Manifest) -> None:
    """Remember this version as the one that the piece of ``folder`` is, or was made from."""
    beside = folder / f"{RECORD}.new"
    beside.write_bytes(to_json(manifest))
    os.replace(beside, folder / RECORD)


def bundle_bytes(manifest: Manifest, contents: Mapping[str, bytes]) -> bytes:
    """The zip of these files: in order, without times, packed by deflating; the manifest first."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, data in {MANIFEST: to_json(manifest), **dict(sorted(contents.items()))}.items():
            entry = zipfile.ZipInfo(path, _FIRST_DAY)
            entry.create_system, entry.external_attr = 3, _PLAIN_FILE
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data, compresslevel=_LEVEL)
            if entry.file_size > SMALL and entry.file_size > MOST_TIMES * entry.compress_size:
                what = f"'{path}' is too uniform to be packed: it would look like a trap"
                raise ContentError(what, "Look whether it is what it should be.", path)
    return packed.getvalue()


def _manifest_of(piece: Piece, contents: Mapping[str, bytes]) -> Manifest:
    """The manifest of a piece as it is now: that of the version which it still is, or of one more."""
    files = packed_files(contents)
    digest, before = digest_of_files(files), record_of(piece.folder)
    if before is not None and before.digest == digest:
        return before
    _, studio, _ = load_piece(piece.folder)
    title = "" if studio.title == "-" else studio.title
    studios = before.studios if before else ()
    history = before.history if before else ()
    return Manifest(
        format=FORMAT,
        version=VERSION,
        name=before.name if before else piece.slug,
        history=(*history[: MOST_VERSIONS - 1], digest),  # of endless versions the last ones are forgotten
        studios=(*studios, title) if title and title not in studios[-1:] else studios,
        piece=credit_of(piece),
        files=files,
    )


def _write(data: bytes, file: Path) -> None:
    """Write a bundle, in one step, where nothing is or another bundle, and read it as whoever gets it will."""
    if file.exists():
        try:
            read_bundle(file)
        except ContentError as error:
            raise ContentError("is there already, and is no bundle", "Name another file with -o.", file) from error
    beside = file.with_name(f".{file.name}.new")
    beside.write_bytes(data)
    try:
        read_bundle(beside)
        os.replace(beside, file)
    finally:
        beside.unlink(missing_ok=True)
