"""Making verovio's SVG fit to publish: small, free of styles and scripts, the same at every run.

verovio puts a style sheet into each file, which a strict Content-Security-Policy refuses; a group, a class and an id
around everything, of which pages use few; a random suffix on every glyph, which keeps drawings from sharing them; and
it says at every line how it is stroked. What is left here draws the same in about half the bytes.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from xml.etree.ElementTree import Element

import defusedxml.ElementTree as SafeTree

from sitegen.engraving.paths import shorter

_TEXT_STYLES = {
    "tempo": ("font-weight", "bold"),
    "reh": ("font-weight", "bold"),
    "fing": ("font-weight", "bold"),
    "ending": ("font-weight", "bold"),
    "dir": ("font-style", "italic"),
    "dynam": ("font-style", "italic"),
    "mNum": ("font-style", "italic"),
}
#: The classes by which pages find things: staves and their notes, and what stands beside the staves of a bar.
_CLASSES = frozenset(
    {
        "page-margin", "measure", "staff", "ledgerLines", "layer", "clef", "note", "notehead", "rest", "barLine",
        "slur", "tie", "dynam", "hairpin", "fing", "dir", "tempo", "pedal", "ending", "arpeg", "trill", "mordent",
        "turn", "fermata", "octave",
    }
)  # fmt: skip
#: The notes of tempo marks, and accidentals, as every text font has them, since a picture cannot load a music font.
#: Text fonts have no half or whole note: these are counted in quarters. What has no counterpart is left out: no sign is
#: an empty box.
_NOTES_IN_TEXT = {
    "\ueca2": "\u2669+\u2669+\u2669+\u2669",
    "\ueca3": "\u2669+\u2669",
    "\ueca3\uecb7": "\u2669+\u2669+\u2669",
    "\ue1d2": "\u2669+\u2669+\u2669+\u2669",
    "\ue1d3": "\u2669+\u2669",
    "\ue1d3\ue1e7": "\u2669+\u2669+\u2669",
    "\ueca5": "\u2669",
    "\ueca7": "\u266a",
    "\ue1d5": "\u2669",
    "\ue1d7": "\u266a",
    "\uecb7": ".",
    "\ue1e7": ".",
    "\ue260": "\u266d",
    "\ue261": "\u266e",
    "\ue262": "\u266f",
}
#: The letters of dynamics among words, which are printed bold and in italics; in the order of SMuFL, from U+E520.
_DYNAMICS = (
    "p m f r s z n pppppp ppppp pppp ppp pp mp mf pf ff fff ffff fffff ffffff fp fz sf sfp sfpp sfz sfzp sffz rf rfz"
)
_LETTERS = {chr(0xE520 + place): letters for place, letters in enumerate(_DYNAMICS.split())}
_SIGNS_IN_TEXT = _NOTES_IN_TEXT | _LETTERS
_SIGN = re.compile("[\ueca3\ue1d3] ?[\uecb7\ue1e7]|.", re.DOTALL)
_USUAL_SIZE = ("0.72", "0.72")
_MUSIC_FONT = "Leipzig"
#: As large beside the words as the music font's notes are.
_NOTE_SIZE = "470px"
_MOVED = re.compile(r"translate\((-?[\d.]+), (-?[\d.]+)\) scale\((-?[\d.]+), (-?[\d.]+)\)")
_GLYPH = re.compile(r"#?([0-9A-F]{4})-")


def tidy(svg: str, bars: Mapping[str, int], keep: frozenset[str]) -> tuple[str, float, float, list[int]]:
    """The file made fit, its width and height in units, and the indexes of the bars in it.

    ``bars`` gives the index of each measure id, ``keep`` the ids of notes to keep.
    """
    svg = re.sub(r"\s*<(style|desc|title)\b.*?</\1>", "", svg, flags=re.S)
    svg = re.sub(r">\s+<", "><", svg).replace(">(</tspan>", ">\u00a0(</tspan>")
    root: Element = SafeTree.fromstring(re.sub(r' xmlns(:\w+)?="[^"]*"', "", svg, count=4))
    drawing = _Drawing(bars, keep)
    drawing.visit(root)
    width, height = (float(side) for side in root.get("viewBox", "0 0 0 0").split()[2:])
    page = "".join(_text_of(child) for child in root)
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" fill="currentColor" '
        f'stroke="currentColor" stroke-width="0">{drawing.definitions()}{page}</svg>'
    )
    return text, width, height, drawing.seen


class _Drawing:
    """One pass over a drawing: groups that nothing needs give way to what they hold."""

    def __init__(self, bars: Mapping[str, int], keep: frozenset[str]) -> None:
        self._bars, self._keep = bars, keep
        self._outlines: dict[str, str] = {}
        self._glyphs: dict[tuple[str, str, str], str] = {}
        self.seen: list[int] = []

    def definitions(self) -> str:
        """The glyphs in use, each in the size it is used in."""
        glyphs = "".join(
            f'<g id="{name}"><path transform="scale({across},{_negative(along)})" d="{self._outlines[glyph]}"/></g>'
            for (glyph, across, along), name in self._glyphs.items()
        )
        return f"<defs>{glyphs}</defs>"

    def visit(self, parent: Element) -> None:
        """Tidy what ``parent`` holds."""
        kept: list[Element] = []
        for child in parent:
            if child.tag == "defs":
                self._read_outlines(child)
            else:
                kept.extend(self._tidied(child))
        parent[:] = [each for place, each in enumerate(kept) if place == 0 or not _same(kept[place - 1], each)]

    def _read_outlines(self, definitions: Element) -> None:
        for group in definitions:
            match = _GLYPH.match(group.get("id", ""))
            if match and len(group):
                self._outlines[match[1]] = shorter(group[0].get("d", ""))

    def _tidied(self, element: Element) -> list[Element]:
        """The element as it stays: itself, what it holds in its place, or nothing."""
        kinds = element.get("class", "").split()
        if "placeholder" in kinds:
            return []
        element.attrib.pop("class", None)
        name = element.attrib.pop("id", None)
        element.attrib.pop("color", None)
        for name_in_xml in [each for each in element.attrib if each.startswith("{")]:
            del element.attrib[name_in_xml]
        if element.tag == "use":
            self._use(element)
            return [element]
        if element.tag in ("path", "polygon", "polyline"):
            for field in ("d", "points"):
                if field in element.attrib:
                    element.set(field, shorter(element.attrib[field]))
            return [element]
        self.visit(element)
        if element.tag == "text":
            _plain_notes(element)
        if element.tag != "g":
            return [element]
        if name in self._keep:
            element.set("id", str(name))
        self._mark_bar(element, kinds, name)
        for kind in kinds:
            if kind in _TEXT_STYLES:
                element.set(*_TEXT_STYLES[kind])
        if not len(element) and not element.get("id"):
            return []
        shown = [kind for kind in kinds if kind in _CLASSES]
        if shown == ["notehead"] and len(element) == 1:
            element[0].set("class", "notehead")
            return [element[0]]
        if shown:
            element.set("class", " ".join(shown))
        return [element] if element.attrib else list(element)

    def _use(self, element: Element) -> None:
        """A glyph in its place; its size goes to the definition, which all in that size share."""
        glyph, move = _GLYPH.match(element.get("href", "")), _MOVED.fullmatch(element.get("transform", ""))
        if glyph is None:
            return
        # what is turned as well keeps how it is moved
        key = (glyph[1], move[3], move[4]) if move else (glyph[1], "1", "1")
        # one name for one size in all drawings: a page shows many, and takes the first glyph of a name for all of them
        size = "" if key[1:] == _USUAL_SIZE else "-" + "-".join(dict.fromkeys(key[1:]))
        name = self._glyphs.setdefault(key, glyph[1] + size)
        element.set("href", f"#{name}")
        if move:
            del element.attrib["transform"]
            element.attrib.update({"x": move[1], "y": move[2]})

    def _mark_bar(self, element: Element, kinds: list[str], name: str | None) -> None:
        index = self._bars.get(name or "")
        if "measure" in kinds and index is not None:
            self.seen.append(index)
            element.set("data-bar", str(index))


def _same(first: Element, second: Element) -> bool:
    """Whether a sign is drawn twice in one place, as for accidentals that a score gives twice."""
    return first.tag == "use" and second.tag == "use" and first.attrib == second.attrib


def _negative(number: str) -> str:
    return number[1:] if number.startswith("-") else f"-{number}"


def _plain_notes(text: Element) -> None:
    """Words in which notes or dynamics are set in the music font: as those of any font."""
    before = ""
    for span in text.iter("tspan"):
        words = span.text or ""
        if span.get("font-family") == _MUSIC_FONT:
            apart = not set(words) & _LETTERS.keys() and before.strip() and before[-1] not in "( \u00a0"
            span.text = ("\u00a0" if apart else "") + "".join(
                _SIGNS_IN_TEXT.get(sign.replace(" ", ""), "") for sign in _SIGN.findall(words)
            )
            del span.attrib["font-family"]
            span.set("font-size", _NOTE_SIZE)
            if set(words) & _LETTERS.keys():
                span.set("font-style", "italic")
                span.set("font-weight", "bold")
                span.attrib.pop("letter-spacing", None)
        before += span.text or ""


def _text_of(element: Element) -> str:
    attributes = "".join(f' {name}="{html.escape(value)}"' for name, value in element.attrib.items())
    inside = html.escape(element.text or "", quote=False) + "".join(
        _text_of(child) + html.escape(child.tail or "", quote=False) for child in element
    )
    return f"<{element.tag}{attributes}>{inside}</{element.tag}>" if inside else f"<{element.tag}{attributes}/>"
