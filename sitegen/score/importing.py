"""Every format as one: verovio's importers turn a source into MEI, keeping the ids that it will draw."""

from __future__ import annotations

from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
import verovio

from sitegen.errors import ScoreError
from sitegen.score.sources import Source

_INPUT = {"musicxml": "xml", "mei": "mei", "humdrum": "humdrum", "abc": "abc"}

_toolkit: verovio.toolkit | None = None


def import_mei(source: Source) -> ElementTree.Element:
    """The source as a tree of MEI elements.

    Raises ``ScoreError`` where verovio cannot load it or finds no music in it.
    """
    toolkit = _shared_toolkit()
    toolkit.resetOptions()
    toolkit.setOptions({"inputFrom": _INPUT[source.kind], "xmlIdChecksum": True, "breaks": "none"})
    toolkit.resetXmlIdSeed(1)
    loaded = toolkit.loadData(source.text)
    if not loaded:
        raise ScoreError(
            f"cannot be read as {source.kind}", "Open it in a notation editor and export it again.", source.file
        )
    tree: ElementTree.Element = SafeTree.fromstring(toolkit.getMEI({"removeIds": False}))
    return tree


def _shared_toolkit() -> verovio.toolkit:
    """One toolkit a process: making one loads the fonts."""
    global _toolkit
    if _toolkit is None:
        verovio.enableLog(verovio.LOG_OFF)
        _toolkit = verovio.toolkit()
    return _toolkit
