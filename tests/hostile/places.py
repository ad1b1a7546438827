"""What may lie in a content folder in place of a piece, by what it is. Each is made in the folder of the library."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from tests.building.studio import musicxml, write_piece


def _piece(root: Path) -> Path:
    return write_piece(root, "odd", musicxml())


def _loops(root: Path) -> None:
    folder = _piece(root)
    for name in "abcdefgh":
        (folder / name).symlink_to(".")


def _loop_of_pieces(root: Path) -> None:
    (root / "odd").symlink_to("odd")


def _link_to_library(root: Path) -> None:
    (_piece(root) / "up").symlink_to("..")


def _whole_system(root: Path) -> None:
    (_piece(root) / "all").symlink_to("/usr")


def _piece_links_to_itself(root: Path) -> None:
    (_piece(root) / "piece.md").unlink()
    (root / "odd" / "piece.md").symlink_to("piece.md")


def _score_links_to_itself(root: Path) -> None:
    (_piece(root) / "score.musicxml").unlink()
    (root / "odd" / "score.musicxml").symlink_to("score.musicxml")


def _score_links_outside(root: Path) -> None:
    (_piece(root) / "score.musicxml").unlink()
    (root / "odd" / "score.musicxml").symlink_to("/etc/hostname")


def _piece_links_outside(root: Path) -> None:
    (_piece(root) / "piece.md").unlink()
    (root / "odd" / "piece.md").symlink_to("/etc/hostname")


def _piece_is_a_folder(root: Path) -> None:
    (_piece(root) / "piece.md").unlink()
    (root / "odd" / "piece.md").mkdir()


def _piece_is_a_folder_alone(root: Path) -> None:
    (root / "odd" / "piece.md").mkdir(parents=True)


def _score_is_a_folder(root: Path) -> None:
    (_piece(root) / "score.musicxml").unlink()
    (root / "odd" / "score.musicxml").mkdir()


def _piece_is_a_pipe(root: Path) -> None:
    (_piece(root) / "piece.md").unlink()
    os.mkfifo(root / "odd" / "piece.md")


def _score_is_a_pipe(root: Path) -> None:
    (_piece(root) / "score.musicxml").unlink()
    os.mkfifo(root / "odd" / "score.musicxml")


def _pipe_beside(root: Path) -> None:
    os.mkfifo(_piece(root) / "notes.pdf")
    os.mkfifo(root / "pipe.musicxml")
    text = (root / "odd" / "piece.md").read_text(encoding="utf-8")
    (root / "odd" / "piece.md").write_text(f"{text}\n[x](notes.pdf)\n", encoding="utf-8")


def _device(root: Path) -> None:
    (_piece(root) / "piece.md").unlink()
    (root / "odd" / "piece.md").symlink_to("/dev/zero")


def _locked_folder(root: Path) -> None:
    _piece(root).chmod(0)


def _folder_without_entry(root: Path) -> None:
    _piece(root).chmod(0o444)


def _locked_piece(root: Path) -> None:
    (_piece(root) / "piece.md").chmod(0)


def _locked_score(root: Path) -> None:
    (_piece(root) / "score.musicxml").chmod(0)


def _locked_picture(root: Path) -> None:
    folder = _piece(root)
    (folder / "hand.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    (folder / "hand.png").chmod(0)
    text = (folder / "piece.md").read_text(encoding="utf-8")
    (folder / "piece.md").write_text(f"{text}\n![A hand](hand.png)\n", encoding="utf-8")


def _locked_inner_folder(root: Path) -> None:
    inner = _piece(root) / "sketches"
    inner.mkdir()
    inner.chmod(0)


def _sparse_piece(root: Path) -> None:
    with (_piece(root) / "piece.md").open("ab") as file:
        file.truncate(5 << 30)


def _sparse_score(root: Path) -> None:
    with (_piece(root) / "score.musicxml").open("ab") as file:
        file.truncate(5 << 30)


def _not_utf8_name(root: Path) -> None:
    folder = os.fsencode(_piece(root))
    os.rename(folder, folder[:-3] + b"odd\xff\xfe")


def _odd_names(root: Path) -> None:
    folder = _piece(root)
    (folder / "a\nb\x1b[31m.musicxml").write_text("x", encoding="utf-8")
    (root / "new\nline").mkdir()


def _many_files(root: Path) -> None:
    folder = _piece(root)
    for number in range(3000):
        (folder / f"{number}.txt").write_text("x", encoding="utf-8")


def _deep_folders(root: Path) -> None:
    (_piece(root) / "/".join("d" * 800)).mkdir(parents=True)


def _name_in_capitals(root: Path) -> None:
    _piece(root)
    write_piece(root, "ODD", musicxml())


PLACES: dict[str, Callable[[Path], None]] = {
    "eight links to the folder itself": _loops,
    "a folder that links to itself": _loop_of_pieces,
    "a link to the library": _link_to_library,
    "a link to the whole system": _whole_system,
    "piece.md links to itself": _piece_links_to_itself,
    "the score links to itself": _score_links_to_itself,
    "the score links outside": _score_links_outside,
    "piece.md links outside": _piece_links_outside,
    "piece.md is a folder": _piece_is_a_folder,
    "piece.md is a folder and all there is": _piece_is_a_folder_alone,
    "the score is a folder": _score_is_a_folder,
    "piece.md is a pipe": _piece_is_a_pipe,
    "the score is a pipe": _score_is_a_pipe,
    "a pipe where a file is linked": _pipe_beside,
    "piece.md is a device": _device,
    "a folder that nobody may read": _locked_folder,
    "a folder that nobody may enter": _folder_without_entry,
    "piece.md that nobody may read": _locked_piece,
    "a score that nobody may read": _locked_score,
    "a picture that nobody may read": _locked_picture,
    "a folder inside that nobody may read": _locked_inner_folder,
    "piece.md of five gigabytes": _sparse_piece,
    "a score of five gigabytes": _sparse_score,
    "a name that is not UTF-8": _not_utf8_name,
    "names with line ends": _odd_names,
    "three thousand files": _many_files,
    "eight hundred folders deep": _deep_folders,
    "the same name in capitals": _name_in_capitals,
}
