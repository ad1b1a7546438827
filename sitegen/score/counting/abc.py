"""The notes of an ABC tune, bar by bar, by its letters alone: a note tied to itself counts each time it is written."""

from __future__ import annotations

import re
from itertools import zip_longest

_COMMENT = re.compile(r"(?<!\\)%.*")
_FIELD = re.compile(r"[A-Za-z+]:(?![|:\]])")
_SAID = re.compile(r'"[^"]*"|!(?:[^!\s]+)!|\+[A-Za-z.]+\+|\[[A-UW-Za-z]:[^\]]*\]')
_TOKEN = re.compile(
    r"\[V:\s*(?P<voice>[^\]\s]+)[^\]]*\]|(?P<bar>\[?[:.]*\|+[:\]|]*|::+|\[\d)|Z(?P<bars>\d*)|X(?P<hidden>\d*)"
    r"|(?P<rest>[zx])|(?P<note>[A-Ga-g])"
)


def count_abc(text: str) -> tuple[int, ...]:
    """How many notes each bar holds, all voices together; bars that are empty are none."""
    voices: dict[str, list[int | None]] = {}
    current, music = "", False
    for raw in text.splitlines():
        line = "" if raw.startswith("%%") else _COMMENT.sub("", raw)
        if line.startswith("V:") and (music or not current):
            current = (line[2:].split() or [""])[0]
        elif line.startswith("K:"):
            music = True
        elif music and not _FIELD.match(line):
            for found in _TOKEN.finditer(_SAID.sub(" ", line)):
                if found["voice"]:
                    current = found["voice"]
                _take(found, voices.setdefault(current, [None]))
    sums = zip_longest(*([count or 0 for count in (bars if bars[-1] is not None else bars[:-1])]
                         for bars in voices.values()), fillvalue=0)  # fmt: skip
    return tuple(map(sum, sums))


def _take(found: re.Match[str], bars: list[int | None]) -> None:
    """Go on by one token; a bar is None until something stands in it."""
    many = found["bars"] if found["bars"] is not None else found["hidden"]
    if found["bar"]:
        if bars[-1] is not None:
            bars.append(None)
    elif many is not None:
        count = min(int(many or 1), 9999)
        bars[-1:] = [0] * count
    elif found["rest"] or found["note"]:
        bars[-1] = (bars[-1] or 0) + bool(found["note"])
