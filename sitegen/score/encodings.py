"""From the bytes of a score file to its text, in the encoding that the file itself names.

A byte order mark rules, then what is declared: in XML by its declaration, in ABC by ``%%abc-charset`` or
``I:abc-charset``, in Humdrum by a reference record. What declares nothing is UTF-8 or, where that cannot be,
Windows-1252.

Source: XML 1.0, appendix F; the ABC music standard 2.1, section 2.3.2; the Encoding Standard (WHATWG), by which what
is called Latin-1 is Windows-1252.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from pathlib import Path

from sitegen.errors import ScoreError

_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"), (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"),
)  # fmt: skip
_UNMARKED = ((b"<\0?\0", "utf-16-le"), (b"\0<\0?", "utf-16-be"))
_DECLARED = {
    "xml": re.compile(rb"\A\s*<\?xml\b[^>]*?\bencoding\s*=\s*[\"']\s*([A-Za-z0-9._:-]+)"),
    "abc": re.compile(rb"^(?:%%|I:)\s*(?:abc-charset|encoding)[ \t:=]+([A-Za-z0-9._:-]+)", re.MULTILINE),
    "humdrum": re.compile(rb"^!!!\s*[\w-]*(?:charset|encoding)\s*:\s*([A-Za-z0-9._:-]+)", re.MULTILINE | re.IGNORECASE),
}
_NO_TEXT = ("idna", "punycode", "unicode_escape", "raw_unicode_escape", "utf_7", "undefined", "mbcs", "oem")
_LATIN = ("iso8859-1", "ascii", "cp1252")
_SAVE = "Save the file as UTF-8."


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file, and what is odd in how it is encoded (``what`` is empty where nothing is)."""

    text: str
    what: str = ""
    remedy: str = _SAVE


def decode_score(data: bytes, kind: str, path: Path) -> Decoded:
    """The text of a file of ``kind``. Raises ``ScoreError`` for an encoding that is not known."""
    marked = next((name for mark, name in (*_MARKS, *_UNMARKED) if data.startswith(mark)), None)
    if marked is not None:
        return Decoded(_in(data, marked, path))
    found = _DECLARED[kind if kind in _DECLARED else "xml"].search(data[:65536])
    name = found[1].decode("ascii") if found else ""
    encoding = _known(name, path) if name else "utf-8"
    if encoding in _LATIN:
        return Decoded(_latin(data)) if encoding != "ascii" else _utf8(data, name)
    if encoding.startswith(("utf-16", "utf-32", "utf-8")):
        return _utf8(data, name)  # what says in plain letters that it is UTF-16 is not
    return Decoded(_in(data, encoding, path))


def _known(name: str, path: Path) -> str:
    try:
        encoding = codecs.lookup(name).name
        if encoding.replace("-", "_") not in _NO_TEXT and "a".encode(encoding):
            return encoding
    except LookupError:
        pass
    raise ScoreError(f"its encoding, '{name[:30]}', is not known", _SAVE, path)


def _in(data: bytes, encoding: str, path: Path) -> str:
    try:
        return data.decode(encoding)
    except UnicodeError as error:
        raise ScoreError(
            f"is not written in {encoding.removesuffix('-sig').upper()}, as it says", _SAVE, path
        ) from error


def _utf8(data: bytes, said: str) -> Decoded:
    try:
        return Decoded(data.decode("utf-8"))
    except UnicodeDecodeError:
        if not said:
            return Decoded(_latin(data))
        what = f"says that it is written in {said} and is not; letters with accents are read as Windows-1252 has them"
        return Decoded(_latin(data), what, "Check title and words, and save the file as UTF-8.")


def _latin(data: bytes) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        return data.decode("latin-1")
