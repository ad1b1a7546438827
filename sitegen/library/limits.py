"""Within which limits a teacher's texts are read: many times what anybody writes by hand, and so little that a page is
made of it in a second or two, whoever wrote it. What lies beyond is a fault with its line.

A reader of Markdown looks for the other end of whatever is begun, so a text in which much is begun and nothing ends
takes it the square of its length, or more. What is begun within a paragraph is therefore counted before it is read.
"""

from __future__ import annotations

import re
import stat
from itertools import pairwise
from pathlib import Path

from sitegen.errors import ContentError

LARGEST_FILE = 1_000_000  # bytes of a text file
LONGEST_FRONT = 200_000  # characters of fields: some thousands of adjustments
LONGEST = 100_000  # characters of a commentary: thirty printed pages
LONGEST_PARAGRAPH = 20_000  # characters without an empty line
MOST_LINES = 500  # of a paragraph, a list or a table
MOST_PARAGRAPHS = 5_000
MOST_BRACKETS = 50  # open at once in a paragraph
MOST_FLOWS = 100  # brackets open at once in fields
MOST_TAGS = 2_000  # signs that may begin an element, of all the commentary
MOST_UNENDED = 50  # of these without an end
MOST_EXCERPTS = 100  # engraved for one commentary

_ODD = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_BEGUN = re.compile(r"<(?=[a-zA-Z/!?])")
_EXCERPT = re.compile(r"!\[[^\]]*\]\(\s*<?bars:", re.IGNORECASE)
_BREAK = re.compile(r"\n[ \t>]*\n")


def read_text(file: Path) -> str:
    """What a text file of the content folder holds, with ``\\n`` at the ends of its lines. Raises ``ContentError``
    where it is no file, too large, cannot be read, is not UTF-8, or holds characters that are none."""
    try:
        state = file.stat()
        if not stat.S_ISREG(state.st_mode):
            raise ContentError("is no file that can be read", "Put a text file of this name in its place.", file)
        if state.st_size > LARGEST_FILE:
            what = f"has {state.st_size / 1e6:.1f} MB, and may have {LARGEST_FILE // 1_000_000}"
            raise ContentError(what, "Shorten it, or put it into two.", file)
        data = file.read_bytes()
    except OSError as error:
        raise ContentError(f"cannot be read: {error.strerror}", "Check its rights.", file) from error
    except RuntimeError as error:
        raise ContentError("is a link that leads to itself", "Put the file in its place.", file) from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ContentError("is not UTF-8 text", "Save it as UTF-8.", file) from error
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if odd := _ODD.search(text):
        line = text.count("\n", 0, odd.start()) + 1
        raise ContentError("a character stands here that no text may hold", "Write the word anew.", file, line=line)
    return text


def is_text(value: str) -> bool:
    """Whether a text holds nothing but characters that a page can show."""
    return not _ODD.search(value)


def check_front_matter(text: str, file: Path, first_line: int) -> None:
    """Raise ``ContentError`` where fields are longer, or their brackets stand deeper in each other, than may be."""
    if len(text) > LONGEST_FRONT:
        what = f"the fields have {len(text)} characters, and may have {LONGEST_FRONT}"
        raise ContentError(what, "Put what is long into the commentary.", file, line=first_line)
    place = _too_deep(text, "[{", "]}", MOST_FLOWS)
    if place is not None:
        line = first_line + text.count("\n", 0, place)
        raise ContentError(
            f"more than {MOST_FLOWS} brackets are opened and not closed", "Close every bracket once.", file, line=line
        )


def check_commentary(text: str) -> None:
    """Raise ``ContentError`` where Markdown is longer, or more of it is begun and not ended, than may be; its line is
    counted from 1 within ``text``."""
    if len(text) > LONGEST:
        raise _fault(text, LONGEST, f"the commentary has {len(text)} characters, and may have {LONGEST}",
                     "Shorten it, or put a part of it into a PDF beside it.")  # fmt: skip
    _check_elements(text)
    excerpts = [found.start() for found in _EXCERPT.finditer(text)]
    if len(excerpts) > MOST_EXCERPTS:
        what = f"the commentary has more than {MOST_EXCERPTS} excerpts"
        raise _fault(text, excerpts[MOST_EXCERPTS], what, "Link to the bars instead: [hear them](bars:5-8).")
    paragraphs, place = _BREAK.split(text), 0
    if len(paragraphs) > MOST_PARAGRAPHS:
        what = f"the commentary has more than {MOST_PARAGRAPHS} paragraphs"
        raise _fault(text, 0, what, "Shorten it, or put a part of it into a PDF beside it.")
    for paragraph in paragraphs:
        place = text.find(paragraph, place)
        for opening, closing, called in (("[", "]", "square"), ("(", ")", "round")):
            deep = _too_deep(paragraph, opening, closing, MOST_BRACKETS)
            if deep is not None:
                what = f"more than {MOST_BRACKETS} {called} brackets are opened and not closed"
                raise _fault(text, place + deep, what, "Close every bracket once, or leave them out.")
        if len(paragraph) > LONGEST_PARAGRAPH or paragraph.count("\n") >= MOST_LINES:
            begins = place + len(paragraph) - len(paragraph.lstrip())
            what = f"a paragraph has more than {LONGEST_PARAGRAPH} characters or {MOST_LINES} lines"
            raise _fault(text, begins, what, "Put an empty line where a thought ends.")
        place += len(paragraph)


def _check_elements(text: str) -> None:
    tags = [found.start() for found in _BEGUN.finditer(text)]
    if len(tags) > MOST_TAGS:
        raise _fault(text, tags[MOST_TAGS], f"more than {MOST_TAGS} elements of HTML", "Write them in Markdown.")
    unended = [place for place, after in pairwise([*tags, len(text)]) if ">" not in text[place:after]]
    if len(unended) > MOST_UNENDED:
        what = f"more than {MOST_UNENDED} signs '<' begin an element that does not end"
        raise _fault(text, unended[MOST_UNENDED], what, "Write '&lt;' for the sign itself.")


def _too_deep(text: str, opening: str, closing: str, most: int) -> int | None:
    """Where more than ``most`` brackets are open at once; None where that is nowhere."""
    depth = 0
    for found in re.finditer(f"[{re.escape(opening + closing)}]", text):
        depth = depth + 1 if found[0] in opening else max(0, depth - 1)
        if depth > most:
            return found.start()
    return None


def _fault(text: str, place: int, what: str, remedy: str) -> ContentError:
    return ContentError(what, remedy, line=text.count("\n", 0, place) + 1)
