"""An id on every note, before anything is read or drawn, so that both speak of the same ones."""

from __future__ import annotations

import re
from xml.etree import ElementTree

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
MEI = "http://www.music-encoding.org/ns/mei"
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*")
"""Ids that every format of a stage may bear: MusicXML forbids the colon, and not all programs know other letters."""
_TIED = re.compile(r"(.+)\.\d+")
_MADE = re.compile(r"[0-9A-F]{4}|.*-rend\d+")
"""What the heads that are tied to a note are called in a drawing."""
_KEEP_THEIR_IDS = ("part", "score-part", "score-instrument")


def with_musicxml_ids(root: ElementTree.Element) -> str:
    """The text of a MusicXML tree whose notes are called ``N1``, ``N2`` ... in document order."""
    for element in root.iter():
        if element.tag not in _KEEP_THEIR_IDS:
            element.attrib.pop("id", None)
    for count, note in enumerate(root.iter("note"), 1):
        note.set("id", f"N{count}")
    return ElementTree.tostring(root, encoding="unicode")


def with_mei_ids(root: ElementTree.Element) -> str:
    """The text of an MEI tree: ids are kept where all formats allow them, no other element has them, and they cannot be
    taken for one that a drawing makes of another: a tied head, a second time, a glyph."""
    ElementTree.register_namespace("", MEI)
    ids = [element.get(XML_ID) for element in root.iter()]
    known = {name for name in ids if name}
    renamed: dict[str, str] = {}
    for number, old in enumerate(ids):
        if old and old not in renamed and not _may_stay(old, known):
            new = f"R{number}"
            while new in known:
                new += "x"
            renamed[old] = new
            known.add(new)
    seen: set[str] = set()
    count = 0
    for element in root.iter():
        for key, value in element.attrib.items():
            if value in renamed and key == XML_ID:
                element.set(key, renamed[value])
            elif "#" in value and renamed:
                element.set(
                    key, " ".join("#" + renamed.get(n[1:], n[1:]) if n[:1] == "#" else n for n in value.split())
                )
        name = element.get(XML_ID)
        if isinstance(element.tag, str) and element.tag.split("}")[-1] in ("note", "rest", "chord") and not name:
            count += 1
            while f"N{count}" in known:
                count += 1
            name = f"N{count}"
            element.set(XML_ID, name)
        if name and name in seen:
            again = 2
            while f"{name}-{again}" in known:
                again += 1
            name = f"{name}-{again}"
            element.set(XML_ID, name)
            known.add(name)
        if name:
            seen.add(name)
    return ElementTree.tostring(root, encoding="unicode")


def _may_stay(name: str, known: set[str]) -> bool:
    tied = _TIED.fullmatch(name)
    return _NAME.fullmatch(name) is not None and not _MADE.fullmatch(name) and not (tied and tied[1] in known)
