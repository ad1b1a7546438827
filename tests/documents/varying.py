"""What differs from one machine or one day to the next in what commands print, and nothing else is let differ.

Each row is taken out of what is shown and of what was printed alike, before the two are compared. In what is shown a
line ``...`` stands for lines that are left out, and ``...`` at the end of a line for the rest of it.
"""

from __future__ import annotations

import re

#: what it is, how it looks, what stands for it
_ROWS = (
    ("an address of an unlisted page", re.compile(r"\bfor/[a-z2-7]{20,}\b"), "for/ADDRESS"),
    ("a SHA-256: it depends on the libraries' versions", re.compile(r"\b[0-9a-f]{64}\b"), "SHA-256"),
    ("an address of this machine, with a port that is free", re.compile(r"\bhttp://[0-9.]+:\d+"), "http://HERE:PORT"),
    ("a day", re.compile(r"\b20\d\d-\d\d-\d\d\b"), "DAY"),
    ("a version of the program", re.compile(r"\bversion \d+(\.\d+)+\b"), "version VERSION"),
    ("a version of the program that is run from its folder", re.compile(r"\bversion not installed: .*"),
     "version VERSION"),
    ("what is still to be done, as a terminal shows it in one line", re.compile(
        r"^(Building|Checking) \d+/\d+ .*\n", re.M), ""),
    ("blanks at the end of a line", re.compile(r"[ \t]+$", re.M), ""),
)  # fmt: skip


def without_what_varies(text: str) -> str:
    """``text`` with a word in place of all that varies."""
    for _, looks, stands in _ROWS:
        text = looks.sub(stands, text)
    return text.strip("\n")


def agrees(shown: str, printed: str) -> bool:
    """Whether what a document shows is what was printed."""
    lines = without_what_varies(shown).split("\n")
    parts = [_looks(line) for line in lines]
    pattern = "".join(parts).removesuffix("\n")
    return re.fullmatch(pattern, without_what_varies(printed)) is not None


def _looks(line: str) -> str:
    if line.strip() == "...":
        return r"(?:.*\n)*?.*\n?"
    if line.endswith(" ..."):
        return re.escape(line[: -len(" ...")]) + r"[^\n]*" + "\n"
    return re.escape(line) + "\n"
