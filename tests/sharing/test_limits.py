"""How much a bundle may hold: just within each limit it comes in, just beyond it is refused in one line, and nothing is
written. Each number is written here once more, so that none is halved or doubled unseen.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from sitegen.sharing.manifest import digest_of_files, packed_files, to_json
from tests.building.studio import musicxml, tree_of, write_content
from tests.sharing.hostile import Files, bundle, manifest_of, odd_zip, piece

_MB = 1_000_000


def noise(size: int) -> bytes:
    """Bytes that cannot be packed, the same every time."""
    return hashlib.shake_256(b"noise").digest(size)


def texts(sizes: Mapping[str, int], dense: int | None = None) -> Files:
    """A piece that offers texts of these sizes, of which at most ``dense`` bytes cannot be packed."""
    links = "\n\n".join(f"[a text]({name})" for name in sizes)
    made = {name: noise(size if dense is None else min(dense, size)).ljust(size) for name, size in sizes.items()}
    return piece(links) | made


def zipped(files: Files) -> bytes:
    """A bundle of files that ``pack`` would not make one of."""
    return odd_zip(files, lambda archive: None)


def many(count: int) -> bytes:
    """A bundle of ``count`` files."""
    return bundle(texts({f"{number}.txt": 10 for number in range(count - 2)}))


def whole(size: int) -> bytes:
    """A bundle whose files have ``size`` bytes unpacked, and few packed."""
    sizes = {f"{number}.txt": 5 * _MB for number in range(19)}
    others = sum(len(data) for data in texts({**sizes, "last.txt": 0}).values())
    return zipped(texts({**sizes, "last.txt": size - others - 3_000}, dense=60_000))


def packed(size: int) -> bytes:
    """A bundle of some ``size`` bytes as it is handed on."""
    sizes = {f"{number}.txt": 5 * _MB for number in range(9)}
    others = len(bundle(texts({**sizes, "last.txt": 0})))
    return bundle(texts({**sizes, "last.txt": size - others - 1_500}))


def times(number: int) -> bytes:
    """A bundle with a text of a megabyte that is ``number`` times smaller when it is packed."""
    made = (texts({"a.txt": 2 * _MB}, dense) for dense in range(2 * _MB // number, 0, -20))
    return zipped(next(files for files in made if number * len(zlib.compress(files["a.txt"])) < 2 * _MB))


def manifest(size: int) -> bytes:
    """A bundle whose manifest has ``size`` bytes."""
    history = tuple(hashlib.sha256(str(number).encode()).hexdigest() for number in range(900))
    text = to_json(manifest_of(piece(), history=(*history, digest_of_files(packed_files(piece())))))
    return odd_zip(piece(), lambda archive: None, text.ljust(size))


def score(size: int) -> bytes:
    """A bundle whose score has ``size`` bytes, most of them a remark."""
    text = musicxml().encode()
    remark = noise(400_000).hex().encode().ljust(size - len(text) - 7)
    return bundle(piece() | {"score.musicxml": text + b"<!--" + remark + b"-->"})


def compressed_score(count: int) -> bytes:
    """A bundle whose compressed score holds ``count`` files."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        rootfile = '<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>'
        archive.writestr("META-INF/container.xml", rootfile)
        archive.writestr("score.xml", musicxml())
        for number in range(count - 2):
            archive.writestr(f"{number}.txt", b"a part")
    front = piece()["piece.md"].replace(b"score.musicxml", b"score.mxl")
    return bundle({"piece.md": front, "score.mxl": made.getvalue()})


def history(versions: int) -> bytes:
    """A bundle of a piece that has had so many versions."""
    before = tuple(hashlib.sha256(str(number).encode()).hexdigest() for number in range(versions - 1))
    return bundle(piece(), history=(*before, digest_of_files(packed_files(piece()))))


def named(path: str) -> bytes:
    """A bundle with a text at this path."""
    return bundle(texts({path: 10}))


#: What is limited: a bundle of a size, the largest that is taken, the smallest that is refused, the words for it.
LIMITS: Mapping[str, tuple[Callable[[int], bytes], int, int, str]] = {
    "megabytes as it is handed on": (packed, 49_990_000, 50_010_000, "has more than 50 MB, the most that a bundle has"),
    "megabytes unpacked": (whole, 99_900_000, 100_000_001, "unpacks to more than 100 MB"),
    "files": (many, 100, 101, "its manifest is not as it must be|holds 102 files; a bundle has 100 at most"),
    "times its size": (times, 199, 202, "'a.txt', which unpacks to more than 200 times its size"),
    "bytes that may be packed to nothing": (
        lambda size: zipped(texts({"a.txt": size}, dense=1)), 100_000, 100_001, "more than 200 times its size"),
    "bytes of the manifest": (manifest, 200_000, 200_001, "a manifest of more than 200 kB"),
    "bytes of a file": (lambda size: bundle(texts({"a.txt": size})), 5 * _MB, 5 * _MB + 1, "which has more than 5 MB"),
    "bytes of a score": (score, 32 * 2**20, 32 * 2**20 + 1, "which has more than 33 MB"),
    "files of a compressed score": (compressed_score, 20, 21, "a compressed score of more than 20 files"),
    "versions that are remembered": (history, 1000, 1001, "its manifest is not as it must be"),
    "letters of a path": (
        lambda size: named(f"{'a' * 99}/{'b' * (size - 104)}.txt"), 200, 201, "longer than 200 characters"),
    "bytes of a name": (lambda size: named(f"{'a' * (size - 4)}.txt"), 120, 121, "a name longer than 120 bytes"),
    "folders in folders": (lambda deep: named("a/" * deep + "b.txt"), 3, 4, "which lies more than 3 folders deep"),
}  # fmt: skip


def unpack(data: bytes, root: Path) -> tuple[int, str, Path]:
    """The exit code and the lines of faults of bringing a bundle in, and the content folder."""
    content = write_content(root / "content")
    file = root / "stranger.bundle.zip"
    file.write_bytes(data)
    result = CliRunner().invoke(main, ["unpack", str(file), "--content", str(content)])
    return result.exit_code, result.stderr, content


@pytest.mark.parametrize("what", LIMITS)
def test_what_lies_just_within_a_limit_comes_in(what: str, tmp_path: Path) -> None:
    made, most, _, _ = LIMITS[what]
    code, told, content = unpack(made(most), tmp_path)
    assert (code, told) == (0, "")
    assert (content / "tune" / "piece.md").is_file()


@pytest.mark.parametrize("what", LIMITS)
def test_what_lies_just_beyond_is_refused_in_one_line_and_nothing_is_written(what: str, tmp_path: Path) -> None:
    made, _, least, said = LIMITS[what]
    code, told, content = unpack(made(least), tmp_path)
    assert code == 1
    (line,) = told.splitlines()
    assert re.search(said, line), line
    assert tree_of(content).keys() == {"studio.yaml"}
    assert [place.name for place in sorted(tmp_path.iterdir())] == ["content", "stranger.bundle.zip"]
