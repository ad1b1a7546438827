"""``sitegen unpack``: a bundle brought into the content folder, in one step and over nothing that is there."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sitegen.apart import USUAL, Limits
from sitegen.building.publication.exchange import put_in_place
from sitegen.errors import ContentError
from sitegen.library import Piece, slug_of
from sitegen.library.folders import OTHER_FOLDERS, PIECE
from sitegen.library.limits import read_text
from sitegen.sharing.contents import piece_in
from sitegen.sharing.differing import sheet_of_differences, words_that_differ
from sitegen.sharing.examining import examine, write_files
from sitegen.sharing.manifest import Manifest
from sitegen.sharing.merging import Merged, merge
from sitegen.sharing.packing import record_of, write_record
from sitegen.sharing.reading import Bundle, read_bundle
from sitegen.stopping import when_stopped

THEIRS = ".theirs"
"""The folder in that of a piece with what a newer version has otherwise than its teacher, to take over by hand."""
SHEET = "differences.html"


class NameTakenError(ContentError):
    """A piece of this name is there, and another one: it needs another name."""


@dataclass(frozen=True, slots=True)
class Unpacked:
    """What became of a bundle: the folder of the piece, and whether that is new, there already in this version, or
    brought to a newer one. ``words`` is what ``piece.md`` has otherwise in the newer version where the teacher's was
    kept, ``sheet`` the page of the bars that differ from those she had."""

    folder: Path
    how: Literal["new", "same", "newer"]
    manifest: Manifest
    merged: Merged = Merged((), (), (), ())
    words: str = ""
    sheet: Path | None = None


def unpack_bundle(file: Path, content: Path, name: str = "", limits: Limits = USUAL) -> Unpacked:
    """Bring the bundle ``file`` into the folder ``content`` as a piece, under ``name`` where that is given.

    Where the folder of an older version of the same piece is there, it is brought to the newer one, and what its
    teacher changed is kept. Raises ``ContentError``, one line, for whatever is wrong with the bundle, and
    ``NameTakenError`` where its name is taken; nothing is then written.
    """
    bundle = read_bundle(file)
    examine(bundle, file, limits)
    if not content.is_dir():
        raise ContentError("there is no such content folder", "Begin a studio with 'sitegen start'.", content)
    here = None if name else _folder_of(bundle.manifest, content)
    if here is None:
        folder = content / slug_of(name or bundle.manifest.name)
        _refuse_taken(folder, content, file)
        _put_new(bundle, folder)
        return Unpacked(folder, "new", bundle.manifest)
    before = record_of(here)
    assert before is not None
    if before.digest == bundle.manifest.digest:
        return Unpacked(here, "same", bundle.manifest)
    if not before.is_before(bundle.manifest):
        told = "is an older version of" if bundle.manifest.is_before(before) else "comes from another version than"
        remedy = "Nothing was written. Give it a name of its own with --name."
        raise ContentError(f"{told} what {here} has", remedy, file)
    return _bring_up(bundle, here, before, limits)


def _folder_of(manifest: Manifest, content: Path) -> Path | None:
    """The folder of the same piece, in whichever version; that of the same name first where there are several."""
    places = [place for place in sorted(content.iterdir()) if place.is_dir() and not place.name.startswith(".")]
    same = [place for place in places if (record := record_of(place)) is not None and record.id == manifest.id]
    same.sort(key=lambda place: (slug_of(place.name) != manifest.name, place.name))
    return same[0] if same else None


def _refuse_taken(folder: Path, content: Path, file: Path) -> None:
    taken = {slug_of(place.name if place.is_dir() else place.stem): place for place in content.iterdir()}
    taken |= {name: content / name for name in OTHER_FOLDERS}
    if folder.name in taken:
        remedy = "Nothing was written. Give the piece another name with --name."
        raise NameTakenError(f"holds a piece called '{folder.name}', and {taken[folder.name]} is there", remedy, file)


def _put_new(bundle: Bundle, folder: Path) -> None:
    with _staging(folder) as staged:
        staged.mkdir()
        write_files(dict(bundle.files), staged)
        write_record(staged, bundle.manifest)
        staged.rename(folder)  # fails where something has come there meanwhile


@contextmanager
def _staging(folder: Path) -> Iterator[Path]:
    """A place beside ``folder`` in which it is made ready; what is left there at the end goes."""
    beside = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}.", dir=folder.parent))
    with when_stopped(lambda: shutil.rmtree(beside, ignore_errors=True)):
        try:
            yield beside / folder.name
        finally:
            shutil.rmtree(beside, ignore_errors=True)


def _bring_up(bundle: Bundle, folder: Path, before: Manifest, limits: Limits) -> Unpacked:
    """The piece of ``folder`` in the newer version, with what its teacher changed of it."""
    mine = _sums(folder, {*before.sums, *bundle.files})
    merged = merge(before.sums, mine, bundle.manifest.sums)
    _refuse_links(folder, (*merged.taken, *merged.gone, THEIRS))
    with _staging(folder) as staged:
        shutil.copytree(folder, staged, symlinks=True)
        shutil.rmtree(staged / THEIRS, ignore_errors=True)
        words_kept = PIECE in (*merged.aside, *merged.kept)
        for path in () if words_kept else merged.gone:  # her words may still name it
            (staged / path).unlink(missing_ok=True)
        write_files({path: bundle.files[path] for path in merged.taken}, staged)
        aside = {path: bundle.files[path] for path in merged.aside if path in bundle.files}
        write_files(aside, staged / THEIRS)
        words, sheet = _differences(bundle, folder, piece_in(staged), aside, limits)
        if sheet:
            write_files({SHEET: sheet}, staged / THEIRS)
        write_record(staged, bundle.manifest)
        put_in_place(staged, folder, staged.with_name(f"{folder.name}.before"))
    return Unpacked(folder, "newer", bundle.manifest, merged, words, folder / THEIRS / SHEET if sheet else None)


def _refuse_links(folder: Path, paths: Iterable[str]) -> None:
    """Refuse to write where a link of the teacher's leads away: what is there belongs to something else."""
    for path in paths:
        for place in (folder / path, *(folder / parent for parent in Path(path).parents)):
            if place != folder and place.is_symlink():
                remedy = "Nothing was written. Put the file itself there, or give the piece a name with --name."
                raise ContentError("is a link, and the newer version has something else there", remedy, place)


def _sums(folder: Path, paths: set[str]) -> dict[str, str]:
    """The SHA-256 of those of the ``paths`` that are files of ``folder``."""
    files = {path: folder / path for path in paths}
    return {path: hashlib.sha256(file.read_bytes()).hexdigest() for path, file in files.items() if file.is_file()}


def _differences(
    bundle: Bundle, folder: Path, now: Piece, aside: Mapping[str, bytes], limits: Limits
) -> tuple[str, bytes]:
    """What the words have otherwise than hers where both changed them, and the page of the bars that differ between the
    score that she had and the newer one; ``now`` is the piece as it becomes."""
    words = ""
    if PIECE in aside:
        words = words_that_differ(read_text(folder / PIECE), bundle.files[PIECE].decode("utf-8-sig"), PIECE)
    old = piece_in(folder)
    with tempfile.TemporaryDirectory(prefix="sitegen-bundle-") as made:
        write_files(dict(bundle.files), Path(made))
        new = piece_in(Path(made))
        if old.score.read_bytes() == new.score.read_bytes():
            return words, b""
        stands = now.score.read_bytes() == old.score.read_bytes()
        return words, sheet_of_differences(old.score, new.score, new.matter.title, stands, limits)
