"""The colours of a theme: what they are called, what they must be, and the style that gives them.

What is read stands out from its ground by 4.5 to 1, what is only to be seen by 3 to 1 (Web Content Accessibility
Guidelines 2.2, 1.4.3 and 1.4.11, whose measure of luminance this is).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

#: What each colour is for.
NAMES = {
    "paper": "the ground of the page",
    "leaf": "the ground of what lies on it: a sheet, a card",
    "ink": "words and notes",
    "soft": "words that stand back",
    "rule": "lines that only divide",
    "edge": "the edge of what can be touched",
    "pencil": "the one accent: links, what sounds, what is chosen",
    "pencil-wash": "the ground of what is chosen",
    "pencil-halo": "the ring around a note that sounds",
    "on-pencil": "words on the accent",
}
LIGHTS = ("light", "dark")
_PAIRS = (
    *((words, ground, 4.5) for words in ("ink", "soft", "pencil") for ground in ("paper", "leaf")),
    ("on-pencil", "pencil", 4.5),
    ("edge", "paper", 3.0),
)
_UNCHOSEN = ':root:not([data-light="light"])'
_COLOUR = re.compile(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})", re.IGNORECASE)


def is_colour(text: object) -> bool:
    """Whether ``text`` is a colour as a theme writes it: ``#rgb`` or ``#rrggbb``, either with its opacity behind."""
    return isinstance(text, str) and _COLOUR.fullmatch(text) is not None


def contrast(one: str, other: str) -> float:
    """How far two colours stand apart, from 1 (alike) to 21 (black and white)."""
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def too_faint(colours: Mapping[str, str]) -> Iterator[tuple[str, str, float, float]]:
    """The pairs that stand too little apart: the colour, its ground, how far they stand apart and how far they must."""
    for words, ground, least in _PAIRS:
        if (apart := contrast(colours[words], colours[ground])) < least:
            yield words, ground, apart, least


def style_of(colours: Mapping[str, Mapping[str, str]]) -> str:
    """The style that gives ``colours``, by light and name: as the device wishes, or as its owner chose."""
    light, dark = (_declared(light, colours[light]) for light in LIGHTS)
    return (
        f":root{{{light}}}\n@media (prefers-color-scheme: dark){{{_UNCHOSEN}{{{dark}}}}}\n"
        f':root[data-light="dark"]{{{dark}}}\n'
    )


def _declared(light: str, colours: Mapping[str, str]) -> str:
    return f"color-scheme:{light};" + "".join(f"--{name}:{colours[name]};" for name in NAMES)


def _luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    if len(digits) < 6:
        digits = "".join(2 * digit for digit in digits)
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
