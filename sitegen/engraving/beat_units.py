"""The long notes of tempo marks and the signs of a return, which text fonts do not have, as glyphs of the music font
among the words.

What follows such a note needs a place of its own. It is counted by the metrics of the font that drawings ask for, and
the words before the note are told their width, so that those of another font do not run into it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby, pairwise
from xml.etree.ElementTree import Element

from sitegen.engraving.fonts import advance_of, width_of

#: Whole and half notes as words have them, as signs of metronome marks or as notes: the codes of the former; segno and
#: coda.
LONG_NOTES = {
    "\ueca2": "ECA2", "\ueca3": "ECA3", "\ue1d2": "ECA2", "\ue1d3": "ECA3", "\ue047": "E047", "\ue048": "E048"
}  # fmt: skip
#: Their size beside words of the usual size: as high as these with what goes above and below the line.
SIZE = "0.5"
#: How far such a note is raised, in tenths of a unit, so that its head stands on the line of the words.
RISE = 65
#: What share of a text lies before its place, by how it is anchored there.
_BEFORE = {"middle": 0.5, "end": 1.0}

#: What draws a glyph of the music font: by its code and size, and its place in the drawing.
Draw = Callable[[str, str, int, int], str]
#: Words and the attributes that hold for them.
Run = tuple[str, dict[str, str]]


def in_pieces(text: Element, draw: Draw) -> list[Element | str] | None:
    """A ``text`` element with long notes among its words as several elements and the glyphs between them; None for one
    that has no such notes."""
    parts = [run for whole in runs(text) for run in _apart(*whole)]
    if not any(words in LONG_NOTES for words, _ in parts):
        return None
    groups = [list(group) for _, group in groupby(parts, key=lambda run: run[0] in LONG_NOTES)]
    for group, _ in pairwise(groups):
        words, style = group[-1]
        if words not in LONG_NOTES and words[-1] not in "( \u00a0":
            group[-1] = f"{words}\u00a0", style
    widths = [sum(map(width_of_run, group)) for group in groups]
    around = dict(text.attrib)
    fitted = around.pop("textLength", None) is not None
    x = float(around.get("x", "0")) - _BEFORE.get(around.pop("text-anchor", ""), 0) * sum(widths)
    y = float(around.get("y", "0"))
    pieces: list[Element | str] = []
    for group, width in zip(groups, widths, strict=True):
        if group[0][0] in LONG_NOTES:
            for sign in group:
                pieces.append(draw(LONG_NOTES[sign[0]], SIZE, round(x), round(y - RISE)))
                x += width_of_run(sign)
            continue
        told = {}
        if fitted or group is not groups[-1]:
            told = {"textLength": f"{width:.0f}", "lengthAdjust": "spacingAndGlyphs"}
        piece = Element("text", around | {"x": f"{x:.0f}"} | told)
        for words, style in group:
            span = Element("tspan", style)
            span.text = words
            piece.append(span)
        pieces.append(piece)
        x += width
    return pieces


def width_of_run(run: Run) -> float:
    """How wide words in one style are, in tenths of a unit, the notes among them drawn as glyphs."""
    words, style = run
    glyphs = [LONG_NOTES[sign] for sign in words if sign in LONG_NOTES]
    letters = "".join(sign for sign in words if sign not in LONG_NOTES)
    return sum(map(advance_of, glyphs)) * float(SIZE) + (width_of(letters, style) if letters else 0)


def runs(text: Element) -> Iterator[Run]:
    """The words of a ``text`` element in order, with what it and each ``tspan`` around them says of their font."""
    return _runs(text, {name: value for name, value in text.attrib.items() if name.startswith("font-")})


def _runs(element: Element, around: dict[str, str]) -> Iterator[Run]:
    style = around | element.attrib if element.tag == "tspan" else around
    if element.text:
        yield element.text, style
    for child in element:
        yield from _runs(child, style)
        if child.tail:
            yield child.tail, style


def _apart(words: str, style: dict[str, str]) -> Iterator[Run]:
    """Words cut where a long note stands among them, each of which stands alone."""
    for long, signs in groupby(words, key=lambda sign: sign in LONG_NOTES):
        for part in list(signs) if long else ["".join(signs)]:
            yield part, style
