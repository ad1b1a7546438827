"""Opening a score file: which format it is, within which limits, and with an id on every note.

What comes out is text that verovio engraves as it stands and from which the ``Score`` is read, so that the id of
a note is the same in both. MusicXML notes get ``N1``, ``N2`` ... in document order; MEI keeps its own ids and gets
the missing ones; verovio derives ids from line and field for Humdrum, and from a checksum for ABC.
"""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Literal
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
from defusedxml.common import DefusedXmlException

from sitegen.errors import ScoreError

Kind = Literal["musicxml", "mei", "humdrum", "abc"]

LARGEST_FILE = 32 * 1024 * 1024
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
MEI = "http://www.music-encoding.org/ns/mei"

_SUFFIXES: dict[str, Kind] = {
    ".musicxml": "musicxml",
    ".xml": "musicxml",
    ".mxl": "musicxml",
    ".mei": "mei",
    ".krn": "humdrum",
    ".abc": "abc",
}
SUFFIXES = tuple(_SUFFIXES)
_NCNAME = re.compile(r"[A-Za-z_][\w.-]*")


@dataclass(frozen=True, slots=True)
class Source:
    """A score file made ready: ``text`` in the notation that ``kind`` names, ids in place."""

    kind: Kind
    text: str
    file: str


def open_source(path: Path) -> Source:
    """Read a score file. Raises ``ScoreError`` naming the file, the line where there is one, and the remedy."""
    kind = _SUFFIXES.get(path.suffix.lower())
    if kind is None:
        raise ScoreError(f"'{path.suffix}' is not a score format", f"Use one of {', '.join(SUFFIXES)}.", path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise ScoreError(f"cannot be read: {error.strerror}", "Check the name and the rights.", path) from error
    if len(data) > LARGEST_FILE:
        raise ScoreError(f"larger than {LARGEST_FILE >> 20} MiB", "Split the work into movements.", path)
    if data[:4] == b"PK\x03\x04":
        data = _unzip(data, path)
    text = _decode(data, path)
    if not text.strip():
        raise ScoreError("the file is empty", "Export the score again.", path)
    if kind in ("musicxml", "mei"):
        root = _parse(text, path)
        kind = "mei" if root.tag.split("}")[-1] in ("mei", "music") else "musicxml"
        text = _with_mei_ids(root) if kind == "mei" else _with_musicxml_ids(root, path)
    if kind == "humdrum":
        text = _without_abbreviation(text)
    return Source(kind, text, str(path))


def _without_abbreviation(text: str) -> str:
    """Humdrum with its tremolos left written out, note by note: drawn as strokes, most of them would have no id."""
    return re.sub(r"(?m)^\*.*$", lambda line: re.sub(r"\*X?tremolo\b", "*", line[0]), text)


def _unzip(data: bytes, path: Path) -> bytes:
    """The score inside a compressed MusicXML file, as its META-INF/container.xml names it."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = [name for name in archive.namelist() if not name.startswith("META-INF/")]
            wanted = None
            if "META-INF/container.xml" in archive.namelist():
                container = SafeTree.fromstring(_member(archive, "META-INF/container.xml", path))
                found = next((e for e in container.iter() if e.tag.split("}")[-1] == "rootfile"), None)
                wanted = found.get("full-path") if found is not None else None
            if wanted not in names:
                scores = (name for name in names if PurePosixPath(name).suffix.lower() in (".xml", ".musicxml"))
                wanted = next(scores, None)
            if wanted is None:
                raise ScoreError("the archive holds no score", "Export it again as compressed MusicXML.", path)
            return _member(archive, wanted, path)
    except (zipfile.BadZipFile, ElementTree.ParseError, DefusedXmlException, EOFError, NotImplementedError) as error:
        raise ScoreError("the archive is damaged", "Export it again as compressed MusicXML.", path) from error


def _member(archive: zipfile.ZipFile, name: str, path: Path) -> bytes:
    with archive.open(name) as member:
        data = member.read(LARGEST_FILE + 1)
    if len(data) > LARGEST_FILE:
        raise ScoreError(f"unpacks to more than {LARGEST_FILE >> 20} MiB", "Split the work into movements.", path)
    return data


def _decode(data: bytes, path: Path) -> str:
    encodings = ("utf-16",) if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "latin-1")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise ScoreError("the text encoding is not known", "Save the file as UTF-8.", path)


def _parse(text: str, path: Path) -> ElementTree.Element:
    try:
        body = re.sub(r"^\s*<\?xml[^>]*\?>", "", text, count=1)
        root: ElementTree.Element = SafeTree.fromstring(body)
    except ElementTree.ParseError as error:
        line = error.position[0]
        raise ScoreError("not well-formed XML", "Export the score again.", path, line=line) from error
    except DefusedXmlException as error:
        raise ScoreError("declares XML entities", "Export the score again without them.", path) from error
    return root


def _with_musicxml_ids(root: ElementTree.Element, path: Path) -> str:
    if root.tag == "score-timewise":
        raise ScoreError("is timewise MusicXML", "Export it as partwise, as notation editors do.", path)
    if root.tag != "score-partwise":
        raise ScoreError(f"is not a score: its outermost element is <{root.tag}>", "Export MusicXML or MEI.", path)
    for element in root.iter():
        element.attrib.pop("id", None) if element.tag not in ("part", "score-part", "score-instrument") else None
    for count, note in enumerate(root.iter("note"), 1):
        note.set("id", f"N{count}")
    return ElementTree.tostring(root, encoding="unicode")


def _with_mei_ids(root: ElementTree.Element) -> str:
    ElementTree.register_namespace("", MEI)
    ids = [element.get(XML_ID) for element in root.iter()]
    renamed = {old: f"R{n}" for n, old in enumerate(ids) if old and not _NCNAME.fullmatch(old)}
    seen: set[str] = set()
    count = 0
    for element in root.iter():
        for key, value in element.attrib.items():
            if value in renamed and key == XML_ID:
                element.set(key, renamed[value])
            elif value.startswith("#") and value[1:] in renamed:
                element.set(key, "#" + renamed[value[1:]])
        name = element.get(XML_ID)
        if isinstance(element.tag, str) and element.tag.split("}")[-1] in ("note", "rest", "chord") and not name:
            count += 1
            while f"N{count}" in ids:
                count += 1
            name = f"N{count}"
            element.set(XML_ID, name)
        if name and name in seen:
            raise_to = f"{name}-{len(seen)}"
            element.set(XML_ID, raise_to)
            name = raise_to
        if name:
            seen.add(name)
    return ElementTree.tostring(root, encoding="unicode")
