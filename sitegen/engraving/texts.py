"""Words in drawings: one element for what verovio nests in several, and no font that a picture cannot load."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement

import defusedxml.ElementTree as SafeTree

from sitegen.engraving.beat_units import LONG_NOTES, Draw, in_pieces, runs
from sitegen.engraving.room import Room

_STYLES = {
    "tempo": ' font-weight="bold"',
    "reh": ' font-weight="bold"',
    "fing": ' font-weight="bold"',
    "ending": ' font-weight="bold"',
    "dir": ' font-style="italic"',
    "dynam": ' font-style="italic"',
    "mNum": ' font-style="italic"',
}
#: The notes of tempo marks, and accidentals, as every text font has them, since a picture cannot load a music font.
#: Text fonts have no half or whole note: these are drawn (``beat_units``). What has no counterpart is left out: no sign
#: is an empty box.
_NOTES_IN_TEXT = {
    "\ueca5": "\u2669",
    "\ueca7": "\u266a",
    "\ue1d5": "\u2669",
    "\ue1d7": "\u266a",
    "\uecb7": ".",
    "\ue1e7": ".",
    "\ue260": "\u266d",
    "\ue261": "\u266e",
    "\ue262": "\u266f",
    "\ue263": "x",
    "\ue264": "\u266d\u266d",
}
#: The letters of dynamics among words, which are printed bold and in italics; in the order of SMuFL, from U+E520.
_DYNAMICS = (
    "p m f r s z n pppppp ppppp pppp ppp pp mp mf pf ff fff ffff fffff ffffff fp fz sf sfp sfpp sfz sfzp sffz rf rfz"
)
_LETTERS = {chr(0xE520 + place): letters for place, letters in enumerate(_DYNAMICS.split())}
_SIGNS_IN_TEXT = _NOTES_IN_TEXT | _LETTERS | {sign: sign for sign in LONG_NOTES}
#: Unicode's own musical symbols, which hardly a text font has, as the music font's; those not named are left out.
_SYMBOLS = str.maketrans(
    {
        "\U0001d15d": "\ueca2", "\U0001d15e": "\ueca3", "\U0001d15f": "\ueca5", "\U0001d160": "\ueca7",
        "\U0001d16d": "\uecb7", "\U0001d10b": "\ue047", "\U0001d10c": "\ue048", "\U0001d12a": "\ue263",
        "\U0001d12b": "\ue264", "\U0001d18f": "\ue520", "\U0001d190": "\ue521", "\U0001d191": "\ue522",
    }
)  # fmt: skip
#: What only a music font draws: what Unicode leaves to fonts, and its musical symbols.
_MUSIC_SIGNS = re.compile("([\ue000-\uf8ff\U0001d100-\U0001d1ff]+)")
_OTHER_WORDS = re.compile(r"[^\W\d_a-z][a-z]|\(")
_SPACES = re.compile(r"[ \t\r\n]{2,}|[\t\r\n]")
_MUSIC_FONT = "Leipzig"
#: As large beside the words as the music font's notes are.
_NOTE_SIZE = "470"
_STYLE = re.compile(r"font-(weight|style)=")
_XML_ATTRIBUTE = re.compile(r' xml:\w+="[^"]*"')
_ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
_ONE_RUN = re.compile(r"<text([^<>&]*(?:><tspan[^<>&]*)+)>([^<>&]*)(?:</tspan>)+</text>")


def plain_text(text: str, kinds: frozenset[str], draw: Draw, room: Room) -> list[str]:
    """A ``text`` element as short as it can be, within the ``room`` for words; as several, where notes among its words
    are glyphs, which ``draw`` puts in their place. ``kinds`` are the classes of the groups that it stands in."""
    text = _SPACES.sub(" ", _XML_ATTRIBUTE.sub("", text.replace(">(</tspan>", ">\u00a0(</tspan>")))
    root = _of_one_run(text)
    if root is None:
        root = SafeTree.fromstring(text)
    for span in root.iter():
        for name in ("id", "class"):
            span.attrib.pop(name, None)
    usual = {
        name: value for kind, style in _STYLES.items() if kind in kinds for name, value in _ATTRIBUTE.findall(style)
    }
    drawn: list[str] = []
    for line in _lines(root):
        _part(line)
        marked = _in_the_music_font(line) if _MUSIC_SIGNS.search(text) else line
        _plain_notes(marked)
        room.fit(marked, usual)
        pieces = in_pieces(marked, draw) or [marked]
        drawn += [piece if isinstance(piece, str) else _plain(piece, kinds) for piece in pieces]
    return drawn


def _lines(text: Element) -> list[Element]:
    """The lines of a text, of which all but the first begin with a place of their own, each as a text."""
    if not any("x" in span.attrib for span in text):
        return [text]
    lines = [Element("text", text.attrib)]
    lines[0].text = text.text
    for span in text:
        if "x" in span.attrib:
            lines.append(
                Element("text", text.attrib | {name: span.attrib.pop(name) for name in "xy" if name in span.attrib})
            )
        if span.text or len(span):
            lines[-1].append(span)
    return lines


def _part(text: Element) -> None:
    """Put a space between words that the score sets one after the other, a heading and a tempo, where there is none: a
    capital after a small letter, or after capitals when a small letter follows it."""
    before = ""
    for span in text.iter():
        words = span.text or ""
        if before[-1:].isalnum() and _OTHER_WORDS.match(words):
            span.text = words = f"\u00a0{words}"
        before = words or before


def _plain(text: Element, kinds: frozenset[str]) -> str:
    written = "".join(_written(text, "text"))
    style = "".join(dict.fromkeys(style for kind, style in _STYLES.items() if kind in kinds))
    opening, _, rest = written.partition(">")
    return f"{opening}{'' if _STYLE.search(opening) else style}>{rest}"


def _of_one_run(text: str) -> Element | None:
    """A text of which only the innermost ``tspan`` has words, as most are, as one element; None for any other."""
    found = _ONE_RUN.fullmatch(text)
    if found is None or _MUSIC_FONT in found[1]:
        return None
    root = Element("text", dict(_ATTRIBUTE.findall(found[1])))
    root.text = found[2]
    return root


def _in_the_music_font(text: Element) -> Element:
    """The text with all signs that only a music font has in runs of that font, also where the score sets them as words
    of another: there each is an empty box."""
    marked = Element("text", text.attrib)
    for words, style in runs(text):
        signs = style.get("font-family") == _MUSIC_FONT
        for part in [words] if signs else filter(None, _MUSIC_SIGNS.split(words)):
            span = SubElement(marked, "tspan", style)
            span.text = part.translate(_SYMBOLS)
            if _MUSIC_SIGNS.match(part):
                span.set("font-family", _MUSIC_FONT)
    return marked


def _plain_notes(text: Element) -> None:
    """Words in which notes or dynamics are set in the music font: as those of any font."""
    before = ""
    for span in text.iter("tspan"):
        words = span.text or ""
        if span.get("font-family") == _MUSIC_FONT:
            apart = not set(words) & _LETTERS.keys() and before.strip() and before[-1] not in "( \u00a0"
            span.text = ("\u00a0" if apart else "") + "".join(_SIGNS_IN_TEXT.get(sign, "") for sign in words)
            del span.attrib["font-family"]
            span.set("font-size", _NOTE_SIZE)
            if set(words) & _LETTERS.keys():
                span.set("font-style", "italic")
                span.set("font-weight", "bold")
                span.attrib.pop("letter-spacing", None)
        before += span.text or ""


def _written(element: Element, tag: str) -> Iterator[str]:
    """The element as XML; one that holds a single other one and nothing else is one with it."""
    while len(element) == 1 and not element.text and not element[0].tail:
        inner = element[0]
        inner.attrib = {**element.attrib, **inner.attrib}
        element = inner
    attributes = "".join(f' {name}="{html.escape(value.removesuffix("px"))}"' for name, value in element.attrib.items())
    plain = tag == "tspan" and not attributes
    if not plain:
        yield f"<{tag}{attributes}>"
    yield html.escape(element.text or "", quote=False)
    for child in element:
        yield from _written(child, "tspan")
        yield html.escape(child.tail or "", quote=False)
    if not plain:
        yield f"</{tag}>"
