"""From the words in which musicians say where something is to a ``Place``.

What ``printing`` prints is read, and what is said for short: ``bar``, ``bars``, ``b.``, ``m.`` or nothing before the
number; a hyphen, a dash or *to* between two; ``upbeat``; ``RH`` and ``LH``; ``highest`` and ``lowest``; ``2+1/2``,
``2 1/2``, ``2½`` or ``2.5`` for a beat; ``F#4``, ``f♯4`` or ``F sharp 4``. Commas may be left out, and case
makes no difference. A pitch may be given without its octave where that leaves one note, and a place without a beat is
the whole bar.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from sitegen.errors import ContentError
from sitegen.places.bars import UPBEAT
from sitegen.places.nouns import Place
from sitegen.places.words import ORDINALS, ordinal

FORM = "write 'bar 4, beat 2, right hand, top note', 'bar 4, beat 2+1/2, left hand, F#3' or 'bars 5-8, left hand'"
BARS = "write bars as printed, such as 5-8, or 5 for one"
_UPBEATS = (UPBEAT, "pickup", "anacrusis")
_WORD = r"(?:bars?|bb?\.|measures?|mm?\.)\s*"
_COUNT = r"(?:\s*\((?P<{}>\w+)\))?"
_NAME = r"(?P<{}>(?:" + "|".join(_UPBEATS) + r")\b|[^\s,;()–—/-]+)"
_ONE = _NAME.format("first") + _COUNT.format("first_count")
_OTHER = _NAME.format("last") + _COUNT.format("last_count")
_TO = rf"\s*(?:[-–—]|to\s)\s*(?:{_WORD})?"
_BARS = re.compile(rf"(?P<word>{_WORD}|the\s+(?=upbeat))?{_ONE}(?:{_TO}{_OTHER})?(?=[\s,;]|$)", re.IGNORECASE)
_GAP = re.compile(r"[\s,;]*")
_VULGAR = "¼½¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_BEYOND = re.compile(r"\d{10}")
_SIGNS = {"#": 1, "♯": 1, "sharp": 1, "##": 2, "x": 2, "###": 3, "b": -1, "♭": -1, "flat": -1, "bb": -2, "bbb": -3}


CURLY_MARKS = "“”„‟‘’‚‛"  # quotation marks of a text editor, which YAML takes for letters


def parse_place(text: object) -> Place:
    """Read the words of a place. Raises ``ContentError`` (without a file) where they are not understood."""
    said = " ".join(str(text).split()).strip(CURLY_MARKS)
    if _BEYOND.search(said):
        raise ContentError("a place has a number that no score comes to", FORM)
    found = _BARS.match(said) if isinstance(text, str | int) and not isinstance(text, bool) else None
    if found is None or not (found["word"] or _may_be_a_bar(found["first"])):
        raise ContentError(f"'{said}' does not say where: it does not begin with a bar", FORM)
    first = _bar(found["first"], found["first_count"])
    last = _bar(found["last"], found["last_count"]) if found["last"] else first
    more: dict[str, Any] = {}
    rest = said[found.end() :]
    while part := rest[_end(_GAP, rest) :]:
        read, length = _read_part(part)
        if not length:
            raise ContentError(f"'{re.split('[,;]', part)[0].strip()}' in '{said}' is not understood", FORM)
        if more.keys() & read.keys() - {"count"}:
            raise ContentError(f"'{said}' says one thing twice: '{part[:length]}'", FORM)
        more.update(read)
        rest = part[length:]
    if more.get("beat") is not None and first != last:
        raise ContentError(f"'{said}' names a beat of several bars", "name the bar of the beat: bar 4, beat 2")
    return Place(said, first, last, **more)


def parse_bars(text: object) -> Place:
    """Read the words for one or more whole bars. Raises ``ContentError`` where they say anything else."""
    try:
        place = parse_place(text)
    except ContentError:
        raise ContentError(f"'{text}' names no bars", BARS) from None
    if not place.is_bars:
        raise ContentError(f"'{text}' names more than bars", BARS)
    return place


def _may_be_a_bar(name: str) -> bool:
    """Whether a name without the word *bar* before it is one."""
    return name.casefold() in _UPBEATS or re.fullmatch(r"[A-Za-z]?\d+\w{0,2}", name) is not None


def _bar(name: str, count: str | None) -> str:
    """The name of a bar as ``bars`` has it."""
    name = UPBEAT if name.casefold() in _UPBEATS else name
    return f"{name} ({ordinal(_number_of(count))})" if count else name


def _end(pattern: re.Pattern[str], text: str) -> int:
    found = pattern.match(text)
    return found.end() if found else 0


def _read_part(part: str) -> tuple[Mapping[str, Any], int]:
    """What the words say with which ``part`` begins, and how many letters they take: none where they say nothing."""
    for pattern, read in _PARTS:
        found = pattern.match(part)
        if found and (value := read(found)) is not None:
            return value, found.end()
    return {}, 0


def _beat(found: re.Match[str]) -> dict[str, Any] | None:
    whole, rest = Fraction(int(found["whole"])), Fraction(0)
    if found["vulgar"]:
        rest = Fraction(unicodedata.numeric(found["vulgar"])).limit_denominator(8)
    elif found["decimals"]:
        # 2.33 is meant for two and a third
        rest = Fraction(f"0{found['decimals']}").limit_denominator(12)
    elif found["under"]:
        if not int(found["under"]):
            return None
        rest = Fraction(int(found["over"]), int(found["under"]))
    return {"beat": whole - 1 + rest}


def _pitch(found: re.Match[str]) -> dict[str, Any]:
    octave = int(found["octave"]) if found["octave"] is not None else None
    alter = _SIGNS[found["signs"].casefold().lstrip(" -")] if found["signs"] else 0
    return {"step": found["step"].upper(), "alter": alter, "octave": octave} | _counted(found)


def _counted(found: re.Match[str]) -> dict[str, Any]:
    return {"count": _number_of(found["count"])} if found["count"] else {}


def _number_of(count: str) -> int:
    """``second``, ``2nd`` and ``2`` are 2; what is no number counts as 1."""
    if count.casefold() in ORDINALS:
        return ORDINALS.index(count.casefold()) + 1
    figures = re.match(r"\d+", count)
    return int(figures[0]) if figures else 1


def _part(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"(?:the\s+)?{pattern}(?=[\s,;]|$)", re.IGNORECASE)


_PARTS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], dict[str, Any] | None]], ...] = (
    (
        _part(
            rf"(?:on\s+)?beat\s+(?P<whole>\d+)(?:\s*(?P<vulgar>[{_VULGAR}])|(?P<decimals>\.\d{{1,3}})"
            r"|\s*[+ ]\s*(?P<over>\d+)\s*/\s*(?P<under>\d+))?"
        ),
        _beat,
    ),
    (_part(r"(?:left(?:\s+hand)?|l\.\s?h\.|lh)"), lambda found: {"hand": "left"}),
    (_part(r"(?:right(?:\s+hand)?|r\.\s?h\.|rh)"), lambda found: {"hand": "right"}),
    (_part(r"staff\s+(?P<staff>\d+)"), lambda found: {"staff": int(found["staff"])}),
    (_part(r"(?:top|highest)(?:\s+note)?"), lambda found: {"height": "top"}),
    (_part(r"(?:bottom|lowest)(?:\s+note)?"), lambda found: {"height": "bottom"}),
    (
        _part(r"voice\s+(?P<voice>\d+)" + _COUNT.format("count")),
        lambda found: {"voice": int(found["voice"])} | _counted(found),
    ),
    (_part(r"grace(?:\s+note)?" + _COUNT.format("count")), lambda found: {"grace": True} | _counted(found)),
    (
        _part(
            r"(?P<step>[a-g])(?P<signs>[\s-]?sharp|[\s-]?flat|#{1,3}|b{1,3}|♯|♭|x)?\s?(?P<octave>-?\d+)?"
            + _COUNT.format("count")
        ),
        _pitch,
    ),
)
