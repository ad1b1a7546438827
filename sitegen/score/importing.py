"""Every format as one: verovio's importers turn a source into MEI, keeping the ids that it will draw.

MEI and Humdrum are imported in a child, where this process is none itself: on some faults in a file the importers of
these end the whole process, which then costs no more than an error for this one file.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from typing import cast
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
import verovio

from sitegen.apart import USUAL, Failure, call_apart, limits_here
from sitegen.errors import ScoreError
from sitegen.score.sources import Source, SourceKind

_INPUT = {"musicxml": "xml", "mei": "mei", "humdrum": "humdrum"}
_APART = ("mei", "humdrum")

_toolkit: verovio.toolkit | None = None


def import_mei(source: Source) -> ElementTree.Element:
    """The source as a tree of MEI elements.

    Raises ``ScoreError`` where verovio cannot load it or finds no music in it.
    """
    alone = source.kind in _APART and limits_here() is None
    text = _import_apart(source) if alone else _import(source.kind, source.text)
    try:
        if text is not None:
            tree: ElementTree.Element = SafeTree.fromstring(text)
            return tree
    except ElementTree.ParseError:
        pass
    raise ScoreError(
        f"cannot be read as {source.kind}", "Open it in a notation editor and export it again.", source.file
    )


def _import(kind: SourceKind, text: str) -> str | None:
    """The MEI that verovio makes of a text; None where it refuses."""
    toolkit = _shared_toolkit()
    toolkit.resetOptions()
    toolkit.setOptions({"inputFrom": _INPUT[kind], "xmlIdChecksum": True, "breaks": "none"})
    toolkit.resetXmlIdSeed(1)
    if not toolkit.loadData(text):
        return None
    mei: str = toolkit.getMEI({"removeIds": False})
    return mei


def _import_apart(source: Source) -> str | None:
    """The same, in a child; None also where that dies."""
    try:
        made = list(call_apart(f"{__name__}:serve", f"{source.kind}\n{source.text}".encode(), USUAL))
    except Failure as failure:
        if failure.may_go_better:
            return None
        raise ScoreError(f"the program that reads it {failure}", failure.remedy, source.file) from failure
    return made[0].decode() if made else None


def serve(data: bytes) -> Iterator[bytes]:
    """In a child: the MEI of a text that follows the line of its kind; nothing where verovio refuses it."""
    kind, _, text = data.decode().partition("\n")
    mei = _import(cast(SourceKind, kind), text)
    if mei is not None:
        yield mei.encode()


def _shared_toolkit() -> verovio.toolkit:
    """One toolkit a process: making one loads the fonts."""
    global _toolkit
    if _toolkit is None:
        verovio.enableLog(verovio.LOG_OFF)
        verovio.setDefaultResourcePath(str(files("verovio") / "data"))  # each thread knows only its own
        _toolkit = verovio.toolkit()
    return _toolkit
