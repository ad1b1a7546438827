"""The score inside a compressed MusicXML file.

Source: the MusicXML 4.0 specification, "Compressed .mxl files": META-INF/container.xml names the score.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree

import defusedxml.ElementTree as SafeTree
from defusedxml.common import DefusedXmlException

from sitegen.errors import ScoreError
from sitegen.score.formats import LARGEST_FILE

_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    ElementTree.ParseError,
    DefusedXmlException,
    EOFError,
    NotImplementedError,
    RuntimeError,  # an encrypted member
    ValueError,
    OSError,
)


def unzip_score(data: bytes, path: Path) -> bytes:
    """The bytes of the score in an archive. Raises ``ScoreError`` where there is none, or it is damaged or too big."""
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
    except _DAMAGED as error:
        raise ScoreError("the archive is damaged", "Export it again as compressed MusicXML.", path) from error


def _member(archive: zipfile.ZipFile, name: str, path: Path) -> bytes:
    with archive.open(name) as member:
        data = member.read(LARGEST_FILE + 1)
    if len(data) > LARGEST_FILE:
        raise ScoreError(f"unpacks to more than {LARGEST_FILE >> 20} MiB", "Split the work into movements.", path)
    return data
