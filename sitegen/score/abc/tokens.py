"""The tokens of ABC music code, and what their parts mean.

Source: the ABC music standard 2.1, section 4 (the tune body) and 11.1 (voice grouping).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

ACCIDENTALS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2, "": None}
_LENGTH = r"\d{0,4}/{0,4}\d{0,4}"
_NOTE = rf"(?P<accidental>\^\^|\^|__|_|=|)(?P<letter>[A-Ga-g])(?P<octaves>[',]*)(?P<length>{_LENGTH})(?P<tie>-?)"
TOKEN = re.compile(
    rf"""(?P<space>\s+)
    |\[(?P<field>[A-Za-z]):(?P<value>[^\]]*)\]
    |(?P<bar>\.?\[?:*\|+\]?:*|::+)(?:\[?(?P<pass>\d[\d,.-]*))?
    |\[(?P<ending>\d[\d,.-]*)
    |"(?P<text>[^"]*)"
    |!(?P<sign>[^!\s]+)!|\+(?P<oldsign>[A-Za-z.]+)\+
    |\((?P<tuplet>\d)(?::(?P<normal>\d?)(?::(?P<count>\d?))?)?
    |{{(?P<slash>/?)(?P<graces>[^}}]*)}}
    |\[(?P<chord>[^\]|]+)\](?P<chordlength>{_LENGTH})(?P<chordtie>-?)
    |(?P<rest>[zx])(?P<restlength>{_LENGTH})|(?P<bars>[ZX])(?P<count_bars>\d{{0,3}})
    |(?P<broken><{{1,3}}|>{{1,3}})
    |\.?(?P<slur>\()|(?P<slurend>\))|(?P<overlay>&)
    |(?P<short>[.~HLMOPSTuv])
    |(?P<nothing>y\d*|[\\$`*;?@#])
    |{_NOTE}
    """,
    re.VERBOSE,
)
CHORD_TOKEN = re.compile(rf"\s*(?:!(?P<sign>[^!\s]+)!|(?P<short>[.~HLMOPSTuv])|(?P<passed>[()]|\"[^\"]*\")|{_NOTE})\s*")
GRACE_TOKEN = re.compile(rf"\s*(?:[()]|{_NOTE})\s*")
SHORT_SIGNS = {
    ".": "staccato", "~": "turn", "H": "fermata", "L": "accent", "M": "lowermordent", "P": "uppermordent",
    "T": "trill", "O": "coda", "S": "segno", "u": "upbow", "v": "downbow",
}  # fmt: skip
BODY_FIELDS = "IKLMmNPQRrsTUVWw"


def staves_of(layout: str, names: list[str]) -> dict[str, int]:
    """The staff of each voice: its own, or one for all those in parentheses of a ``%%score`` directive."""
    staves: dict[str, int] = {}
    count, shared, opened = 0, False, False
    for token in re.findall(r"[()]|[^\s(){}\[\]|*]+", layout):
        if token in "()":
            shared = opened = token == "("
        elif token in names and token not in staves:
            count += not shared or opened
            opened = False
            staves[token] = count
    for name in names:
        if name not in staves:
            count += 1
            staves[name] = count
    return staves


def length_of(text: str) -> Fraction:
    """A length such as ``3/2``, ``/``, ``//`` or ``2`` in unit lengths."""
    top, slashes, bottom = re.fullmatch(r"(\d*)(/*)(\d*)", text).groups()  # type: ignore[union-attr]
    divisor = int(bottom) if bottom else 2 ** len(slashes)
    if divisor == 0 or top == "0" * max(1, len(top)):
        raise ValueError(f"the length '{text}' is not understood")
    return Fraction(int(top or 1), divisor)


_MOST_FIGURES = 4  # of a number of times that anything is played


def passes_of(text: str | None) -> str:
    """``1-3`` and ``1,3`` as MusicXML writes them: ``1, 2, 3``."""
    numbers: list[int] = []
    for part in re.split(r"[,.]", text or ""):
        ends = [int(n) for n in part.split("-") if n and len(n) <= _MOST_FIGURES]
        numbers += range(ends[0], min(ends[-1], ends[0] + 20) + 1) if ends else []
    return ", ".join(map(str, numbers))


def all_tokens(pattern: re.Pattern[str], text: str) -> Iterator[re.Match[str]]:
    at = 0
    while at < len(text):
        found = pattern.match(text, at)
        if not found or found.end() == at:
            raise ValueError(f"'{text[at : at + 12]}' is not understood")
        at = found.end()
        yield found
