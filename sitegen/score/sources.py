"""Opening a score file: which format it is, within which limits, and with an id on every note.

What comes out is text that verovio engraves as it stands and from which the ``Score`` is read, so that the id of
a note is the same in both. MusicXML notes get ``N1``, ``N2`` ... in document order; MEI keeps its own ids and gets
the missing ones; verovio derives ids from line and field for Humdrum. ABC is turned into MusicXML.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
from defusedxml.common import DefusedXmlException

from sitegen.errors import ScoreError
from sitegen.score.abc import musicxml_of, read_abc
from sitegen.score.archives import unzip_score
from sitegen.score.checks import check_musicxml
from sitegen.score.formats import kind_of, read_bytes
from sitegen.score.humdrum import check_humdrum, without_abbreviations
from sitegen.score.ids import with_mei_ids, with_musicxml_ids
from sitegen.score.mei_mending import mend_mei
from sitegen.score.mending import mend_musicxml
from sitegen.score.oddities import Oddities
from sitegen.score.upbeats import number_upbeat

Kind = Literal["musicxml", "mei", "humdrum"]

DEEPEST = 200


@dataclass(frozen=True, slots=True)
class Source:
    """A score file made ready: ``text`` in the notation that ``kind`` names, ids in place; ``warnings`` say what had to
    be mended."""

    kind: Kind
    text: str
    file: str
    warnings: tuple[str, ...] = ()


def open_source(path: Path) -> Source:
    """Read a score file. Raises ``ScoreError`` naming the file, the line where there is one, and the remedy."""
    return source_of(read_bytes(path), str(path))


def source_of(data: bytes, name: str) -> Source:
    """The score file called ``name``, given as its bytes. Raises as ``open_source``."""
    path = Path(name)
    kind = kind_of(path)
    if data[:2] == b"PK" and kind in ("musicxml", "mei"):
        data = unzip_score(data, path)
    text = _decode(data, path)
    if not text.strip():
        raise ScoreError("the file is empty", "Export the score again.", path)
    if kind == "humdrum":
        check_humdrum(text, str(path))
        return Source("humdrum", without_abbreviations(text), str(path))
    if kind == "abc":
        return Source("musicxml", _from_abc(text, path), str(path))
    root = _parse(text, path)
    odd = Oddities()
    if root.tag.split("}")[-1] in ("mei", "music"):
        mend_mei(root, odd, str(path))
        return Source("mei", with_mei_ids(root), str(path), odd.told())
    check_musicxml(root, str(path))
    mend_musicxml(root, odd)
    number_upbeat(root)
    return Source("musicxml", with_musicxml_ids(root), str(path), odd.told())


def _from_abc(text: str, path: Path) -> str:
    """ABC as MusicXML, with ids."""
    try:
        written = musicxml_of(read_abc(text, str(path)))
    except ValueError as error:
        raise ScoreError(str(error), "Write it with plain note values.", path) from error
    return with_musicxml_ids(SafeTree.fromstring(written))


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
    if _depth(root) > DEEPEST:
        raise ScoreError(f"nests elements more than {DEEPEST} deep", "Export the score again.", path)
    return root


def _depth(root: ElementTree.Element) -> int:
    """How deep elements are nested, counted without recursion."""
    depth, level = 0, [root]
    while level and depth <= DEEPEST:
        depth, level = depth + 1, [child for element in level for child in element]
    return depth
