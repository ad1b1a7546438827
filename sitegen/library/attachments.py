"""Pictures and files that a text shows or offers: which of them can be published, and under what name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.library.folders import is_file_of
from sitegen.library.references import Reference

LARGEST = 5_000_000  # bytes: what a phone loads in a few seconds, and a page shows in full width many times over
#: The kinds that are published, by suffix, and how a file of each begins (empty: any text or sound).
PICTURES: Mapping[str, tuple[bytes, ...]] = {
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".gif": (b"GIF8",),
    ".webp": (b"RIFF",),
}
FILES: Mapping[str, tuple[bytes, ...]] = {
    ".pdf": (b"%PDF",),
    ".mp3": (b"ID3", b"\xff"),
    ".ogg": (b"OggS",),
    ".m4a": (b"\0\0\0",),
    ".wav": (b"RIFF",),
    ".mid": (b"MThd",),
    ".musicxml": (b"<", b"\xef\xbb\xbf<"),
    ".mxl": (b"PK",),
    ".txt": (),
}


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file beside a text that is published with it: ``target`` as the text has it, ``path`` below the folder that
    the pages of the text have on the site."""

    target: str
    path: str
    file: Path


def attachments_of(text: Path, references: Iterable[Reference]) -> tuple[tuple[Attachment, ...], list[ContentError]]:
    """The files that ``references`` of the file ``text`` lead to, each once, and a fault for each that is not
    there or cannot be published.

    Links to other pieces (a path that leaves the folder) are not files, and are passed over.
    """
    found: dict[str, Attachment] = {}
    faults: list[ContentError] = []
    for reference in references:
        path = reference.path
        if not path or path.startswith("/") or leads_out(path):
            continue
        file = text.parent / path
        fault = _fault(text, reference, file)
        if fault is None:
            found.setdefault(reference.target, Attachment(reference.target, f"files/{Path(path).as_posix()}", file))
        else:
            faults.append(fault)
    return tuple(found.values()), faults


def leads_out(path: str) -> bool:
    """Whether a path leads out of the folder in which it is read."""
    depth = 0
    for part in path.split("/"):
        depth += -1 if part == ".." else part not in ("", ".")
        if depth < 0:
            return True
    return False


def _fault(text: Path, reference: Reference, file: Path) -> ContentError | None:
    path, line = reference.path, reference.line
    what = "picture" if reference.kind == "picture" else "file"
    kinds = PICTURES if reference.kind == "picture" else {**PICTURES, **FILES}
    if not is_file_of(text.parent, path):
        near = [p.name for p in sorted(text.parent.iterdir()) if p.name.lower() == path.lower()]
        remedy = f"There is '{near[0]}': capitals count." if near else f"Put it beside {text.name}."
        if path.lower().startswith("www."):
            remedy = f"Write 'https://{path}' if it is a page of the web."
        elif is_file_of(text.parent.parent, f"{path}/piece.md"):
            remedy = f"Write '../{path}/piece.md' if the piece is meant."
        return ContentError(f"the {what} '{path}' is not there", remedy, text, line=line)
    beginnings = kinds.get(file.suffix.lower())
    if beginnings is None:
        return ContentError(
            f"'{path}' is of a kind that is not published", f"Use one of {', '.join(kinds)}.", text, line=line
        )
    try:
        size = file.stat().st_size
        with file.open("rb") as opened:
            begins = opened.read(16)
    except OSError as error:
        return ContentError(f"'{path}' cannot be read: {error.strerror}", "Check its rights.", text, line=line)
    if size > LARGEST:
        remedy = f"Make it smaller: {LARGEST // 1_000_000} MB at most."
        return ContentError(f"'{path}' has {size / 1e6:.1f} MB", remedy, text, line=line)
    if beginnings and not begins.startswith(beginnings):
        remedy = "Save it anew in the program that made it, under the name of its kind."
        return ContentError(f"'{path}' is no {file.suffix[1:].upper()} file inside", remedy, text, line=line)
    if reference.kind == "picture" and not reference.words.strip():
        remedy = f"Say in the square brackets what it shows: ![Curved fingers on the keys]({reference.target})."
        return ContentError(f"the picture '{path}' has no words for those who cannot see it", remedy, text, line=line)
    return None
