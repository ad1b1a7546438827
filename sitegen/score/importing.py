"""Every format as one: verovio's importers turn a source into MEI, keeping the ids that it will draw.

MEI and Humdrum are imported in a process of their own: on some faults in a file the importers of these end the whole
process, which then costs no more than an error for this one file.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
import verovio

from sitegen.errors import ScoreError
from sitegen.score.sources import Kind, Source

PATIENCE = 120
"""Seconds an importer may take in a process of its own."""

_INPUT = {"musicxml": "xml", "mei": "mei", "humdrum": "humdrum"}
_APART = ("mei", "humdrum")
_REFUSED = 3

_toolkit: verovio.toolkit | None = None


def import_mei(source: Source) -> ElementTree.Element:
    """The source as a tree of MEI elements.

    Raises ``ScoreError`` where verovio cannot load it or finds no music in it.
    """
    text = _import_apart(source) if source.kind in _APART else _import(source.kind, source.text)
    try:
        if text is not None:
            tree: ElementTree.Element = SafeTree.fromstring(text)
            return tree
    except ElementTree.ParseError:
        pass
    raise ScoreError(
        f"cannot be read as {source.kind}", "Open it in a notation editor and export it again.", source.file
    )


def _import(kind: Kind, text: str) -> str | None:
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
    """The same, in another process; None also where that process dies."""
    command = f"from {__name__} import serve; serve({source.kind!r})"
    root = str(Path(__file__).parents[2])
    paths = os.pathsep.join([root, *filter(None, [os.environ.get("PYTHONPATH")])])
    try:
        done = subprocess.run(
            [sys.executable, "-c", command], input=source.text.encode(), stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, timeout=PATIENCE, env={**os.environ, "PYTHONPATH": paths}, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise ScoreError(f"took more than {PATIENCE} seconds to read", "Split the work into movements.",
                         source.file) from error  # fmt: skip
    return done.stdout.decode() if done.returncode == 0 else None


def serve(kind: Kind) -> None:
    """Read a text from standard input and write its MEI to standard output, then leave."""
    mei = _import(kind, sys.stdin.buffer.read().decode())
    if mei is None:
        sys.exit(_REFUSED)
    sys.stdout.buffer.write(mei.encode())


def _shared_toolkit() -> verovio.toolkit:
    """One toolkit a process: making one loads the fonts."""
    global _toolkit
    if _toolkit is None:
        verovio.enableLog(verovio.LOG_OFF)
        verovio.setDefaultResourcePath(str(files("verovio") / "data"))  # each thread knows only its own
        _toolkit = verovio.toolkit()
    return _toolkit
