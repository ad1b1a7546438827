"""Which names a file of a bundle may have: such as lie in the piece's folder on every system, and nowhere else."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from sitegen.sharing.limits import DEEPEST, LONGEST_NAME, LONGEST_PATH

_DEVICE = re.compile(r"(con|prn|aux|nul|com\d|lpt\d|conin\$|conout\$)(\..*)?", re.IGNORECASE)
_ODD = re.compile(r'[\x00-\x1f\x7f-\x9f<>:"|?*\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff\ufffd]')


def fault_of_path(path: str) -> str | None:
    """What is wrong with a path, as it goes on from 'holds ...'; None where nothing is."""
    shown = f"'{path[:60]}'"
    if not path or len(path) > LONGEST_PATH:
        return f"a file whose path is empty or longer than {LONGEST_PATH} characters"
    if path.endswith("/"):
        return f"an entry for the folder {shown}"
    if "\\" in path:
        return f"{shown}, a path with a backslash"
    if path.startswith("/") or re.match(r"[A-Za-z]:", path):
        return f"{shown}, a path that leads out of the piece's folder"
    parts = path.split("/")
    if ".." in parts:
        return f"{shown}, a path that leads out of the piece's folder"
    if "" in parts or "." in parts:
        return f"{shown}, a path that can be written in another way"
    if len(parts) > DEEPEST:
        return f"{shown}, which lies more than {DEEPEST - 1} folders deep"
    if unicodedata.normalize("NFC", path) != path:
        return f"{shown}, a name that is not in Unicode's normal form C"
    for part in parts:
        if len(part.encode(errors="surrogatepass")) > LONGEST_NAME:
            return f"{shown}, a name longer than {LONGEST_NAME} bytes"
        if part.startswith("."):
            return f"{shown}, a hidden file or folder"
        if _ODD.search(part) or part != part.strip() or part.endswith("."):
            return f"{shown}, a name that not every system takes"
        if _DEVICE.fullmatch(part):
            return f"{shown}, the name of a device"
    return None


def first_alike(paths: Iterable[str]) -> tuple[str, str] | None:
    """Two paths, or a path and the folder of another, that are one file on some system: they are the same, or differ in
    capitals or normal form alone."""
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for path in paths:
        parts = path.split("/")
        for folder in ("/".join(parts[:depth]) for depth in range(1, len(parts))):
            if (other := files.get(_folded(folder))) or folders.setdefault(_folded(folder), folder) != folder:
                return other or folders[_folded(folder)], path
        if other := files.get(_folded(path), folders.get(_folded(path))):
            return other, path
        files[_folded(path)] = path
    return None


def _folded(path: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKD", path).casefold())
