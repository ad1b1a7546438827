"""Bundles that a stranger may hand in, by what they try, each with the words by which it is refused."""

from __future__ import annotations

import io
import json
import stat
import struct
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import msgspec

from sitegen.sharing.manifest import (
    FORMAT,
    MANIFEST,
    VERSION,
    Credit,
    Manifest,
    digest_of_files,
    packed_files,
    to_json,
)
from sitegen.sharing.packing import bundle_bytes
from tests.building.studio import FRONT, musicxml

Files = dict[str, bytes]
PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)


def piece(commentary: str = "Listen to the bass.", **more: bytes) -> Files:
    """The files of a small piece."""
    words = FRONT.format(title="Tune", commentary=commentary).encode()
    return {"piece.md": words, "score.musicxml": musicxml().encode(), **more}


def manifest_of(files: Mapping[str, bytes], **instead: Any) -> Manifest:
    """The manifest that these files have, true in all but what is said ``instead``."""
    packed = packed_files(files)
    true = Manifest(FORMAT, VERSION, "tune", (digest_of_files(packed),), ("A studio",), Credit("Tune"), packed)
    return msgspec.structs.replace(true, **instead)


def bundle(files: Mapping[str, bytes], **instead: Any) -> bytes:
    """A bundle of these files, true but for what its manifest says ``instead``."""
    return bundle_bytes(manifest_of(files, **instead), files)


def odd_zip(files: Files, change: Callable[[zipfile.ZipFile], None], manifest: bytes | None = None) -> bytes:
    """A zip of these files under their true manifest (or another), to which ``change`` adds something."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(MANIFEST, to_json(manifest_of(files)) if manifest is None else manifest)
        for path, data in files.items():
            archive.writestr(path, data)
        change(archive)
    return made.getvalue()


def entry(name: str, data: bytes = b"x", mode: int = 0) -> Callable[[zipfile.ZipFile], None]:
    """Adds an entry of this name, and of this kind of file."""

    def add(archive: zipfile.ZipFile) -> None:
        info = zipfile.ZipInfo("placeholder")
        info.filename, info.external_attr = name, mode << 16
        archive.writestr(info, data)

    return add


def zip_of(name: str, data: bytes) -> bytes:
    """A zip with one file in it."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return made.getvalue()


def _json(**instead: Any) -> bytes:
    """The manifest of the small piece with other fields, whatever these are."""
    return json.dumps(json.loads(to_json(manifest_of(piece()))) | instead).encode()


def _with_front(line: str) -> Files:
    files = piece()
    return {**files, "piece.md": files["piece.md"].replace(b"licence:", f"{line}\nlicence:".encode())}


def _score(text: bytes) -> bytes:
    return bundle({**piece(), "score.musicxml": text})


def _encrypted(data: bytes) -> bytes:
    """The same zip in which every file is said to be encrypted."""
    changed = bytearray(data)
    place = changed.find(b"PK\x01\x02")
    while place >= 0:
        changed[place + 8] |= 1
        place = changed.find(b"PK\x01\x02", place + 4)
    return bytes(changed)


def _one_in_another() -> bytes:
    """A zip of which two entries have the same bytes."""
    data = bytearray(odd_zip(piece(), entry("copy.txt")))
    places = []
    place = data.find(b"PK\x01\x02")
    while place >= 0:
        places.append(place)
        place = data.find(b"PK\x01\x02", place + 4)
    first = struct.unpack_from("<I", data, places[1] + 42)[0]
    struct.pack_into("<I", data, places[2] + 42, first)
    return bytes(data)


def _with_method(method: int) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", method) as archive:
        archive.writestr(MANIFEST, to_json(manifest_of(piece())))
        for path, data in piece().items():
            archive.writestr(path, data)
    return made.getvalue()


def _doctype(entities: str) -> bytes:
    return musicxml().encode().replace(b"<score-partwise", f"<!DOCTYPE x [{entities}]>\n<score-partwise".encode(), 1)


def _with(path: str, data: bytes = b"text", words: str = "See") -> bytes:
    """A bundle with one more file, true in its manifest, to which the commentary links."""
    return bundle(piece(f"[{words}](<{path}>)") | {path: data})


_LINK, _FIFO, _DEVICE = stat.S_IFLNK | 0o777, stat.S_IFIFO | 0o644, stat.S_IFCHR | 0o644

#: What a bundle tries: its bytes, and words of the line by which it is refused.
HOSTILE: Mapping[str, tuple[Callable[[], bytes], str]] = {
    # no zip at all
    "an empty file": (lambda: b"", "is no zip that can be read"),
    "a text": (lambda: b"piece: waltz\n" * 50, "is no zip that can be read"),
    "half a bundle": (lambda: bundle(piece())[:900], "is no zip that can be read"),
    "a bundle without its last byte": (lambda: bundle(piece())[:-1], "is no zip that can be read"),
    "a bundle whose bytes were damaged": (lambda: bundle(piece()).replace(b"PK\x01\x02", b"PK\x01\x03", 1), "no zip"),
    "an encrypted bundle": (lambda: _encrypted(bundle(piece())), "which is encrypted"),
    "files packed in another way": (lambda: _with_method(zipfile.ZIP_LZMA), "in another way than by deflating"),
    "a program before the zip": (lambda: b"#!/bin/sh\n" + bundle(piece()), "before its first file"),
    "a page behind the zip": (lambda: bundle(piece()) + b"<script>", "no zip that can be read|behind its last"),
    "a remark behind the files": (lambda: odd_zip(piece(), lambda z: setattr(z, "comment", b"x" * 9)), "its last"),
    "files that lie in each other": (_one_in_another, "files that lie in each other|is no zip that can be read"),
    # where files would lie
    "a path upwards": (lambda: odd_zip(piece(), entry("../evil.txt")), "a path that leads out of the piece's folder"),
    "a path upwards within": (lambda: odd_zip(piece(), entry("a/../../b.txt")), "leads out of the piece's folder"),
    "an absolute path": (lambda: odd_zip(piece(), entry("/etc/cron.d/x")), "leads out of the piece's folder"),
    "a drive": (lambda: odd_zip(piece(), entry("C:/x.txt")), "leads out of the piece's folder"),
    "a backslash": (lambda: odd_zip(piece(), entry("..\\x.txt")), "a path with a backslash"),
    "a dot in the path": (lambda: odd_zip(piece(), entry("./piece.md")), "can be written in another way"),
    "two slashes": (lambda: odd_zip(piece(), entry("a//b.txt")), "can be written in another way"),
    "a folder": (lambda: odd_zip(piece(), entry("pictures/")), "an entry for the folder"),
    "a hidden file": (lambda: odd_zip(piece(), entry(".bundle.json")), "a hidden file or folder"),
    "a hidden folder": (lambda: odd_zip(piece(), entry(".git/config")), "a hidden file or folder"),
    "the name of a device": (lambda: odd_zip(piece(), entry("nul.txt")), "the name of a device"),
    "a name that ends in a space": (lambda: odd_zip(piece(), entry("a.txt ")), "a name that not every system takes"),
    "a name that turns the writing": (lambda: odd_zip(piece(), entry("a\u202etxt.png")), "not every system takes"),
    "a name with a zero in it": (lambda: odd_zip(piece(), entry("piece.md\0.png")), "not every system takes|twice"),
    "a name of endless length": (lambda: odd_zip(piece(), entry("a" * 300 + ".txt")), "longer than 200 characters"),
    "a long name": (lambda: odd_zip(piece(), entry("ä" * 80 + ".txt")), "a name longer than 120 bytes"),
    "folders in folders": (lambda: odd_zip(piece(), entry("a/b/c/d/e.txt")), "more than 3 folders deep"),
    "a name in another normal form": (lambda: odd_zip(piece(), entry("e\u0301.txt")), "normal form C"),
    "a link": (lambda: odd_zip(piece(), entry("key.txt", b"/etc/passwd", _LINK)), "'key.txt', a link"),
    "a pipe": (lambda: odd_zip(piece(), entry("pipe.txt", b"", _FIFO)), "a device, a pipe or a folder"),
    "a device": (lambda: odd_zip(piece(), entry("zero.txt", b"", _DEVICE)), "a device, a pipe or a folder"),
    # names that are one
    "a name twice": (lambda: odd_zip(piece(), entry("piece.md")), "'piece.md' twice"),
    "capitals alone differ": (lambda: odd_zip(piece(), entry("Piece.md")), "which are one on some systems"),
    "ligatures alone differ": (
        lambda: bundle(piece("[a](ﬁ.txt) [b](fi.txt)") | {"ﬁ.txt": b"a", "fi.txt": b"b"}), "one on some systems"),
    "a file that is a folder too": (lambda: odd_zip(piece(), entry("piece.md/x.txt")), "one on some systems"),
    # how much there is
    "a bomb": (lambda: _bomb(), "more than 200 times its size"),
    "thousands of files": (lambda: _many(), "a bundle has 100 at most"),
    "a picture of six megabytes": (
        lambda: bundle(piece("![a](a.png)") | {"a.png": PNG + _noise(6_000_000)}), "more than 5 MB"),
    "a manifest of a megabyte": (
        lambda: odd_zip(piece(), lambda z: None, _json() + _noise(300_000).hex().encode()), "a manifest of more than"),
    # what the manifest says
    "no manifest": (lambda: zip_of("piece.md", b"---"), "holds no 'bundle.json'"),
    "a manifest that is no JSON": (lambda: odd_zip(piece(), lambda z: None, b"{"), "manifest cannot be read"),
    "a manifest of endless depth": (
        lambda: odd_zip(piece(), lambda z: None, b'{"a":' * 15_000), "manifest cannot be read"),
    "a manifest of another format": (lambda: bundle(piece(), format="else"), "manifest is of another format"),
    "a manifest of a later version": (lambda: bundle(piece(), version=2), "its manifest has version 2"),
    "a field that is not known": (lambda: odd_zip(piece(), lambda z: None, _json(run="x")), "not as it must be"),
    "a folder's name upwards": (lambda: bundle(piece(), name="../x"), "not as it must be"),
    "a digest of something else": (lambda: bundle(piece(), history=("0" * 64,)), "a digest that is not that of its"),
    "a file that is not listed": (lambda: odd_zip(piece(), entry("more.txt")), "which its manifest does not list"),
    "a file that is listed and not there": (
        lambda: odd_zip(piece(), lambda z: None, to_json(manifest_of(piece() | {"a.txt": b"a"}))), "lacks 'a.txt'"),
    "a file with another sum": (
        lambda: odd_zip(piece("Changed."), lambda z: None, to_json(manifest_of(piece()))), "whose SHA-256 is not"),
    # kinds of files
    "a drawing that can run": (lambda: _with("a.svg", b"<svg/>"), "could run in a browser"),
    "a script": (lambda: _with("a.js", b"alert(1)"), "could run in a browser"),
    "a page": (lambda: _with("a.html", b"<p>"), "could run in a browser"),
    "a program under another name": (lambda: _with("a.txt", b"\x7fELF" + bytes(9)), "'a.txt', a program"),
    "a kind that no piece needs": (lambda: _with("a.docx", b"x"), "a kind of file that no piece needs"),
    "a picture that is none": (lambda: bundle(piece("![a](a.png)") | {"a.png": b"<svg/>"}), "no PNG file inside"),
    "a zip in the zip": (lambda: _with("a.zip", zip_of("a", b"a")), "a kind of file that no piece needs"),
    "a zip under another name": (lambda: _with("a.txt", zip_of("a", b"a")), "a zip or another packed file inside"),
    "a zip as the score": (lambda: _score(zip_of("a", b"a")), "a zip or another packed file inside"),
    "a zip in the compressed score": (lambda: _with("a.mxl", zip_of("b.zip", b"PK")), "another zip inside"),
    "a bomb as the compressed score": (lambda: _with("a.mxl", zip_of("s.xml", b" " * 9_000_000)), "200 times its"),
    "a file that nobody needs": (lambda: bundle(piece() | {"a.txt": b"a"}), "is not used by piece.md"),
    "no words": (lambda: bundle({"score.musicxml": musicxml().encode()}), "holds no 'piece.md'"),
    "no score": (lambda: bundle({"piece.md": piece()["piece.md"]}), "which is not there"),
    "words that are no text": (lambda: bundle(piece() | {"piece.md": b"\xff\xfe\x00"}), "is not UTF-8 text"),
    # what is in the files
    "a score outside": (lambda: bundle(
        {**piece(), "piece.md": piece()["piece.md"].replace(b"score.musicxml", b"../a.musicxml")}), "is not there"),
    "a field that no piece has": (lambda: bundle(_with_front("run: rm")), "field 'run' is not known"),
    "fields that stand for millions": (lambda: bundle(_with_front(_LAUGHS)), "more than 50000 values"),
    "fields that make objects": (
        lambda: bundle(_with_front("level: !!python/object/apply:os.system [ls]")), "piece.md:"),
    "a score with entities": (
        lambda: _score(_doctype('<!ENTITY a "aa"><!ENTITY b "&a;&a;">')), "declares XML entities"),
    "a score that reads a file": (lambda: _score(_doctype('<!ENTITY a SYSTEM "file:///etc/passwd">')), "XML entities"),
    "a score that asks the web": (lambda: _score(_doctype('<!ENTITY % a SYSTEM "http://x.test/">%a;')), "XML entities"),
    "a score that is no music": (lambda: _score(b"<html><body/></html>"), "is not a score"),
    "a score that is cut off": (lambda: _score(musicxml().encode()[:900]), "not well-formed XML"),
    "a score without a note": (lambda: _score(_EMPTY), "holds no bars"),
    "a script in the words": (lambda: bundle(piece("<script>alert(1)</script>")), "<script> stands in the commentary"),
    "a drawing in the words": (lambda: bundle(piece("<svg onload=alert(1)></svg>")), "<svg> stands in the commentary"),
    "a page in the words": (lambda: bundle(piece('<iframe src="//x.test">')), "<iframe> stands in the commentary"),
    "a handler in the words": (lambda: bundle(piece('<p onclick="x()">a</p>')), "onclick= of <p> stands in the comm"),
    "an address that runs": (lambda: bundle(piece("[a](javascript:alert(1))")), "the address 'javascript:"),
    "an address that holds a page": (lambda: bundle(piece("[a](data:text/html,x)")), "the address 'data:"),
    "words without end": (lambda: bundle(piece("[" * 20_000)), "brackets are opened and not closed"),
}  # fmt: skip

_LAUGHS = "tags: &a0 [x, x, x, x, x, x, x, x]\n" + "\n".join(
    f"level{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 8)
)
_EMPTY = (
    b'<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>'
    b'<part id="P1"><measure number="1"/></part></score-partwise>'
)


def _bomb() -> bytes:
    def add(archive: zipfile.ZipFile) -> None:
        archive.writestr("a.txt", bytes(60_000_000))

    return odd_zip(piece(), add)


def _many() -> bytes:
    def add(archive: zipfile.ZipFile) -> None:
        for number in range(3000):
            archive.writestr(f"{number}.txt", b"")

    return odd_zip(piece(), add)


def _noise(size: int) -> bytes:
    """Bytes that cannot be packed, the same every time."""
    state, made = 1, bytearray()
    for _ in range(size // 4):
        state = (state * 1_664_525 + 1_013_904_223) % 2**32
        made += state.to_bytes(4, "little")
    return bytes(made)


def write(name: str, folder: Path) -> Path:
    """The hostile bundle of this name as a file."""
    file = folder / "stranger.bundle.zip"
    file.write_bytes(HOSTILE[name][0]())
    return file
