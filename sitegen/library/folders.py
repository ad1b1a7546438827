"""What lies in the folder of a piece, whatever it is called: what is read, and what its teacher may think is read."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.library.slugs import slug_of
from sitegen.score.formats import SUFFIXES

PIECE = "piece.md"
#: Names that file managers and editors make of ``piece.md``.
_ALMOST = frozenset({"piece.md", "piece.md.txt", "piece.txt", "piece.markdown", "piece.md.md", "piece.mdown", "piece"})
#: The files of notation programs, of which none but the program itself reads all, and of music that is not notated.
_OF_OTHER_PROGRAMS = frozenset({
    ".mscz", ".mscx", ".sib", ".musx", ".mus", ".dorico", ".gp", ".gp5", ".gpx", ".ly", ".mid", ".midi",
})  # fmt: skip
#: The folders of the content folder that hold no pieces.
OTHER_FOLDERS = frozenset({"assignments", "collections", "libraries", "pages", "words"})


def scores_in(folder: Path) -> list[Path]:
    """The score files of a folder, in order of their names."""
    return sorted(
        p
        for p in folder.iterdir()
        if p.is_file() and p.suffix.lower() in SUFFIXES and p.name[0] != "." and is_readable(p.name)
    )


def is_readable(name: str) -> bool:
    """Whether a file's name is UTF-8: another cannot be an address, nor be told to programs."""
    return name.isascii() or not any("\ud800" <= character <= "\udfff" for character in name)


def unreadable(place: Path) -> ContentError:
    """A place whose name is not UTF-8; what is none of it is shown as figures."""
    shown = os.fsencode(place).decode("utf-8", "backslashreplace")
    return ContentError("is not read: its name is not UTF-8", "Give it another name.", shown)


def almost_piece(folder: Path) -> ContentError | None:
    """A file that was meant to be ``piece.md`` and is called otherwise, as the fault that it is."""
    for file in sorted(folder.iterdir()):
        if file.is_file() and file.name != PIECE and file.name.lower() in _ALMOST:
            remedy = f"Name it {PIECE}: small letters, and no ending behind it (your file manager may hide it)."
            return ContentError(f"is not read, since it is called '{file.name}'", remedy, file)
    return None


def is_file_of(folder: Path, name: str) -> bool:
    """Whether ``name`` leads to a file that lies in ``folder``, wherever the links on its way lead."""
    try:
        file = (folder / name).resolve()
        return file.is_relative_to(folder.resolve()) and file.is_file()
    except (OSError, ValueError, RuntimeError):  # a name that no file can have, or a link that leads to itself
        return False


def cannot_be_read(error: OSError, place: Path) -> ContentError:
    """A place of the content folder that the system does not give, as the fault that it is."""
    file = Path(error.filename) if isinstance(error.filename, str) else place
    return ContentError(f"cannot be read: {error.strerror}", "Check its rights, and where links lead.", file)


def no_file(file: Path) -> ContentError:
    """Something that is called like the file that is read, and is a folder, a pipe, or a link that leads nowhere."""
    return ContentError("is no file that can be read", "Put a text file of this name in its place.", file)


@dataclass(frozen=True, slots=True)
class Told:
    """What is at fault with the files of a folder, and what may not be meant as it stands, in order of their names."""

    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


def each_file(
    folder: Path,
    is_meant: Callable[[Path], bool],
    misnamed: str,
    load: Callable[[Path], Iterable[ContentError]],
    aside: str = "",
) -> Told:
    """Has ``load`` read each file of a folder of the content that ``is_meant`` for it, in order of their names; what it
    returns or raises is a fault of that file. Another is warned of in the words ``misnamed``, but for the one called
    ``aside`` and hidden ones. A folder that is not there holds nothing."""
    if not folder.is_dir():
        return Told()
    faults: list[ContentError] = []
    warnings: list[ContentError] = []
    try:
        files = sorted(file for file in folder.iterdir() if file.name[0] != "." and file.name != aside)
    except OSError as error:
        return Told((cannot_be_read(error, folder),))
    for file in files:
        if not is_readable(file.name) or not is_meant(file):
            warnings.append(ContentError(misnamed, "Give it such a name, or put it elsewhere.", file))
        elif not file.is_file():  # a pipe would be waited for
            faults.append(no_file(file))
        else:
            try:
                faults += load(file)
            except ContentError as error:
                faults.append(error)
            except OSError as error:
                faults.append(cannot_be_read(error, file))
    return Told(tuple(faults), tuple(warnings))


def meant_for_pieces(root: Path) -> frozenset[str]:
    """The names in addresses of all folders that hold a ``piece.md``, readable or not, or what was meant to be one, and
    of those that cannot be looked into: the last good pages of these stay."""
    return frozenset(slug_of(place.name) for place in root.iterdir() if is_readable(place.name) and _is_meant(place))


def _is_meant(place: Path) -> bool:
    try:
        return place.is_dir() and any(
            file.name == PIECE or (file.name.lower() in _ALMOST and file.is_file()) for file in place.iterdir()
        )
    except OSError:
        return True


def astray(root: Path) -> ContentError | None:
    """A ``piece.md`` that lies in the content folder itself, where nobody looks for it."""
    file = root / PIECE
    if not file.is_file():
        return None
    remedy = "Put it into a folder of its own there, with its score."
    return ContentError("is not read: it lies in the content folder itself", remedy, file)


def without_music(folder: Path) -> ContentError:
    """A folder from which nothing is published; it may hold work all the same, so nobody is told to remove it."""
    inside = sorted(p for p in folder.iterdir() if p.is_dir() and not p.name.startswith(".") and scores_in(p))
    if inside:
        remedy = f"Move '{inside[0].name}' into the content folder itself: pieces are looked for there."
        return ContentError("holds no score itself, only folders that do; nothing of it is published", remedy, folder)
    foreign = sorted(p.name for p in folder.iterdir() if p.suffix.lower() in _OF_OTHER_PROGRAMS)
    if foreign:
        what = f"holds no score that can be read; '{foreign[0]}' cannot be, and nothing of it is published"
        remedy = f"Export MusicXML from the program that opens '{foreign[0]}', and put it beside."
        return ContentError(what, remedy, folder)
    return ContentError(
        f"holds neither {PIECE} nor a score; nothing of it is published",
        f"Put a score ({', '.join(SUFFIXES)}) into it; what is there stays as it is.",
        folder,
    )


def unused_scores(folder: Path, used: Sequence[str]) -> list[ContentError]:
    """A warning for each score of a piece's folder that its ``piece.md`` does not name."""
    named = {score for score in scores_in(folder) for name in used if _is_same(folder, name, score)}
    return [
        ContentError(
            f"is not used: {PIECE} names '{used[0]}'",
            "Give it a folder of its own, or name it under 'stages:' as 'file:' if it is a stage of yours.",
            score,
        )
        for score in scores_in(folder)
        if score not in named
    ]


def _is_same(folder: Path, name: str, score: Path) -> bool:
    return is_file_of(folder, name) and (folder / name).samefile(score)
