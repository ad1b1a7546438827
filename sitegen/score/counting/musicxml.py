"""The noteheads of a partwise MusicXML text, bar by bar, by its tags alone."""

from __future__ import annotations

import re

_COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
_TAG = re.compile(r"<part[\s>](?P<part>)|<measure\b(?P<measure>[^>]*)>|<pitch\b[^>]*>(?P<pitch>.*?)</pitch>", re.DOTALL)
_NUMBER = re.compile(r"\bnumber\s*=\s*[\"']([^\"']*)")
_STEP = re.compile(r"<step\b[^>]*>\s*[A-G]\s*<")
_OCTAVE = re.compile(r"<octave\b[^>]*>\s*\d\s*<")


def count_musicxml(text: str) -> tuple[int, ...]:
    """How many noteheads each bar holds, all parts together."""
    parts: list[list[tuple[str, int]]] = []
    for found in _TAG.finditer(_COMMENT.sub("", text)):
        if found["part"] is not None:
            parts.append([])
        elif found["measure"] is not None and parts:
            number = _NUMBER.search(found["measure"])
            parts[-1].append((number[1] if number else "", 0))
        elif found["pitch"] is not None and parts and parts[-1]:
            name, count = parts[-1][-1]
            parts[-1][-1] = name, count + bool(_STEP.search(found["pitch"]) and _OCTAVE.search(found["pitch"]))
    return _together(parts)


def _together(parts: list[list[tuple[str, int]]]) -> tuple[int, ...]:
    """The sums of all parts; a part that lacks bars has its own where they have the same numbers."""
    longest = max(parts, key=len, default=[])
    names = [name for name, _ in longest]
    sums = [0] * len(longest)
    for part in parts:
        place = 0
        for name, count in part:
            if len(part) < len(longest) and name in names[place:]:
                place = names.index(name, place)
            sums[min(place, len(sums) - 1)] += count
            place += 1
    return tuple(sums)
