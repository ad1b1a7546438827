"""Text from files and names as it may be shown on a terminal: what steers it is written out, what is endless is cut.

A name, a title or a wrong word in a score can hold signs that a terminal obeys (escapes, bells, returns) or that turn
the reading direction about, so that a line would not say what it says.
"""

from __future__ import annotations

import re
from unicodedata import category

LONGEST_WORD = 200
"""Characters of a word in a message: no word that somebody meant is longer."""
LONGEST_LINE = 2_000
"""Characters of a line: some ten times the longest path that is met."""

_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))  # control, format, surrogates, not assigned, line ends
_ASCII = re.compile(r"[ -~]*")


def shown(text: str) -> str:
    """``text`` as one line with every sign written out that is not seen itself, cut where it is longer than a line."""
    if _ASCII.fullmatch(text) is None:
        text = "".join(_written_out(sign) if category(sign) in _UNSEEN else sign for sign in text[: LONGEST_LINE + 1])
    return cut(text, LONGEST_LINE)


def shown_lines(text: str) -> str:
    """The same for each line of several."""
    return "\n".join(map(shown, text.split("\n")))


def with_words_cut(text: str) -> str:
    """``text`` with each word in it cut that is longer than a word can be."""
    return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", lambda word: cut(word[0], LONGEST_WORD), text)


def cut(text: str, longest: int) -> str:
    """``text`` with an ellipsis for its end where it has more than ``longest`` characters."""
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def as_json_shown(text: str) -> str:
    """JSON with the signs in its texts that are not seen themselves as its own escapes."""
    if text.isascii() and "\x7f" not in text:
        return text
    return "".join(_json_escape(sign) if sign != "\n" and category(sign) in _UNSEEN else sign for sign in text)


def _written_out(sign: str) -> str:
    """``\\x1b`` for an escape, ``\\u202e`` for a turn of direction, ``\\xff`` for a byte of a name that is no text."""
    code = ord(sign)
    if 0xDC80 <= code <= 0xDCFF:
        code -= 0xDC00
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _json_escape(sign: str) -> str:
    data = sign.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{data[at : at + 2].hex()}" for at in range(0, len(data), 2))
