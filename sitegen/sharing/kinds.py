"""What kinds of files a bundle may hold, by ending and by how they begin: nothing that runs, nothing that unpacks."""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import PurePosixPath

from sitegen.library.attachments import FILES, LARGEST, PICTURES
from sitegen.library.folders import PIECE
from sitegen.library.limits import LARGEST_FILE as LARGEST_TEXT
from sitegen.score.formats import LARGEST_FILE as LARGEST_SCORE
from sitegen.score.formats import SUFFIXES
from sitegen.sharing.limits import MOST_TIMES, SMALL
from sitegen.sharing.paths import fault_of_path

_ZIPS = (b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")
_PACKED = (*_ZIPS, b"\x1f\x8b", b"7z\xbc\xaf", b"Rar!", b"BZh", b"\xfd7zXZ")
_RUNS = (b"#!", b"MZ", b"\x7fELF", b"\xca\xfe\xba\xbe", b"\xcf\xfa\xed\xfe")
_PROGRAMS = frozenset(
    {".svg", ".svgz", ".js", ".mjs", ".html", ".htm", ".xhtml", ".css", ".exe", ".bat", ".cmd", ".sh", ".py", ".jar",
     ".wasm", ".swf", ".hta", ".vbs", ".ps1", ".lnk", ".url", ".desktop"}
)  # fmt: skip
_COMPRESSED_SCORE = ".mxl"
_MOST_IN_SCORE = 20  # files of a compressed score: the score, its parts, a picture
_BEGINNINGS = {**PICTURES, **FILES}


def fault_of_kind(path: str, data: bytes) -> str | None:
    """What is wrong with the file at ``path``, as it goes on from 'holds ..., '; None where nothing is."""
    suffix = PurePosixPath(path).suffix.lower()
    if suffix in _PROGRAMS:
        return "a kind of file that could run in a browser or on a machine"
    if data.startswith(_RUNS):
        return "a program"
    if path == PIECE:
        return None if len(data) <= LARGEST_TEXT else f"which has more than {LARGEST_TEXT // 1_000_000} MB"
    if suffix not in _BEGINNINGS and suffix not in SUFFIXES:
        return "a kind of file that no piece needs"
    most = LARGEST_SCORE if suffix in SUFFIXES else LARGEST
    if len(data) > most:
        return f"which has more than {most // 1_000_000} MB"
    if suffix == _COMPRESSED_SCORE:
        return _fault_of_compressed(data)
    if data.startswith(_PACKED):
        return "a zip or another packed file inside"
    beginnings = _BEGINNINGS.get(suffix, ())
    if beginnings and suffix not in SUFFIXES and not data.startswith(beginnings):
        return f"which is no {suffix[1:].upper()} file inside"
    return None


def _fault_of_compressed(data: bytes) -> str | None:
    """A compressed score is the one zip in a bundle: what lies in it must be plain and few."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            if len(entries) > _MOST_IN_SCORE:
                return f"a compressed score of more than {_MOST_IN_SCORE} files"
            for entry in entries:
                name = entry.filename
                if not entry.is_dir() and fault_of_path(name):
                    return f"a compressed score with an odd name inside, '{name[:60]}'"
                if entry.file_size > SMALL and entry.file_size > MOST_TIMES * max(1, entry.compress_size):
                    return f"a compressed score that unpacks to more than {MOST_TIMES} times its size"
                if name.lower().endswith((".zip", ".mxl")):
                    return "a compressed score with another zip inside"
                with archive.open(entry) as opened:
                    if opened.read(8).startswith(_PACKED):
                        return "a compressed score with another packed file inside"
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError):
        return "a compressed score that is damaged"
    return None
