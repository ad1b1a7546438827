"""The noteheads of a Humdrum text, bar by bar, by its lines and fields alone."""

from __future__ import annotations

import re

_KERN = "**kern"
_PITCH = re.compile(r"[A-Ga-g]")


def count_humdrum(text: str) -> tuple[int, ...]:
    """How many noteheads stand between each bar line and the next, in all ``**kern`` spines."""
    spines: list[str] = []
    bars: list[int] = [0]
    begun = False
    for line in text.splitlines():
        if not line or line[0] == "!":
            continue
        fields = line.split("\t")
        if line.startswith("**"):
            spines = fields
        elif line[0] == "*":
            spines = _after(fields, spines)
        elif line[0] == "=":
            if begun:
                bars.append(0)
            begun = False
        else:
            begun = True
            for field, spine in zip(fields, spines, strict=False):
                if spine == _KERN:
                    bars[-1] += sum(1 for token in field.split() if "r" not in token and _PITCH.search(token))
    return tuple(bars if begun else bars[:-1])


def _after(fields: list[str], spines: list[str]) -> list[str]:
    """What the spines are after a line of interpretations."""
    after: list[str] = []
    joined = False
    for field, spine in zip(fields, spines, strict=False):
        if field == "*v" and joined:
            continue
        joined = field == "*v"
        if field == "*-":
            continue
        after += {"*^": [spine, spine], "*+": [spine, "**"]}.get(field, [field if field[:2] == "**" else spine])
    return after
