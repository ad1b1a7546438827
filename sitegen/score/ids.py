"""An id on every note, before anything is read or drawn, so that both speak of the same ones."""

from __future__ import annotations

import re
from xml.etree import ElementTree

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
MEI = "http://www.music-encoding.org/ns/mei"
_NCNAME = re.compile(r"[A-Za-z_][\w.-]*")
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
    """The text of an MEI tree: ids are kept where XML allows them and they are the only ones of their kind."""
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
