"""Opening a score file: which format it is, within which limits, and with an id on every note.

What comes out is text that verovio engraves as it stands and from which the ``Score`` is read, so that the id of
a note is the same in both. MusicXML notes get ``N1``, ``N2`` ... in document order; MEI keeps its own ids and gets
the missing ones; verovio derives ids from line and field for Humdrum. ABC is turned into MusicXML.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
from defusedxml.common import DefusedXmlException

from sitegen.errors import ScoreError
from sitegen.score.abc import further_heads, musicxml_of, read_abc
from sitegen.score.archives import unzip_score
from sitegen.score.checks import check_musicxml
from sitegen.score.counting import COUNTERS
from sitegen.score.encodings import decode_score
from sitegen.score.formats import kind_of, read_bytes
from sitegen.score.free_metre import give_metre
from sitegen.score.humdrum import check_humdrum, with_numbered_upbeat, without_abbreviations, without_odd_metres
from sitegen.score.ids import with_mei_ids, with_musicxml_ids
from sitegen.score.lengths import MOST_BARS, MOST_NOTES, refuse_too_long, too_long
from sitegen.score.mei_mending import mend_mei
from sitegen.score.mending import mend_musicxml
from sitegen.score.oddities import Oddities
from sitegen.score.upbeats import number_upbeat

SourceKind = Literal["musicxml", "mei", "humdrum"]

DEEPEST = 200


@dataclass(frozen=True, slots=True)
class Source:
    """A score file made ready: ``text`` in the notation that ``kind`` names, ids in place; ``warnings`` say what had to
    be mended. ``counted`` are the noteheads of each bar that a reader of its own found in the file as it stands."""

    kind: SourceKind
    text: str
    file: str
    warnings: tuple[str, ...] = ()
    counted: tuple[int, ...] = ()


def open_source(path: Path) -> Source:
    """Read a score file. Raises ``ScoreError`` naming the file, the line where there is one, and the remedy."""
    return source_of(read_bytes(path), str(path))


def source_of(data: bytes, name: str) -> Source:
    """The score file called ``name``, given as its bytes. Raises as ``open_source``."""
    path = Path(name)
    kind = kind_of(path)
    if data[:2] == b"PK" and kind in ("musicxml", "mei"):
        data = unzip_score(data, path)
    odd = Oddities()
    decoded = decode_score(data, kind, path)
    text = decoded.text
    if decoded.what:
        odd.add("", decoded.what, decoded.remedy)
    if not text.strip():
        raise ScoreError("the file is empty", "Export the score again.", path)
    if kind == "humdrum":
        return _humdrum(text, path, odd)
    if kind == "abc":
        return _abc(text, path, odd)
    return _xml(text, path, odd)


def _humdrum(text: str, path: Path, odd: Oddities) -> Source:
    counted = _counted("humdrum", text, path)
    check_humdrum(text, str(path))
    text = without_odd_metres(with_numbered_upbeat(without_abbreviations(text)), odd)
    return Source("humdrum", text, str(path), odd.told(), counted)


def _xml(text: str, path: Path, odd: Oddities) -> Source:
    refuse_too_long("xml", text, path)
    root = _parse(text, path)
    if root.tag.split("}")[-1] in ("mei", "music"):
        mend_mei(root, odd, str(path))
        return Source("mei", with_mei_ids(root), str(path), odd.told(), _counted("mei", text, path))
    check_musicxml(root, str(path))
    counted = _counted("musicxml", text, path)
    mend_musicxml(root, odd)
    number_upbeat(root)
    return Source("musicxml", with_musicxml_ids(root), str(path), odd.told(), counted)


def _counted(notation: str, text: str, path: Path) -> tuple[int, ...]:
    """The noteheads of each bar of a text. Raises ``ScoreError`` for more than a piece has."""
    refuse_too_long(notation, text, path)
    counted = COUNTERS[notation](text)
    if sum(counted) > MOST_NOTES or len(counted) > MOST_BARS:
        raise too_long(path)
    return counted


def _abc(text: str, path: Path, odd: Oddities) -> Source:
    """ABC as MusicXML, with ids."""
    counted = _counted("abc", text, path)
    try:
        tune = read_abc(text, str(path), odd)
        written = musicxml_of(tune)
    except ValueError as error:
        raise ScoreError(str(error), "Write it with plain note values.", path) from error
    more = further_heads(tune)
    counted = tuple(count + further for count, further in zip_longest(counted, more, fillvalue=0))
    root = SafeTree.fromstring(written)
    give_metre(root, odd)
    return Source("musicxml", with_musicxml_ids(root), str(path), odd.told(), counted)


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
