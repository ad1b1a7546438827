"""Making verovio's SVG fit to publish: small, free of styles and scripts, the same at every run.

verovio puts a style sheet into each file, which a strict Content-Security-Policy refuses; a group, a class and an id
around everything, of which pages use few; a random suffix on every glyph; and an element for every line. Here its text
is read once, token by token, without a tree. What is left draws the same in a quarter to a sixth of the bytes:

- A bar is a group with its index, a staff in it a group of its lines and one group with all else. The lines are those
  of the sheet, stretched to the bar.
- Strokes of one width on a staff (stems, ledger lines, dots, which are strokes of no length) are one path, and so are
  its beams.
- A note keeps its id; its head is the first glyph in it. A note that is a head and no more is that glyph.
- A clef with its signature is one glyph, made of several.
- What stands beside the staves (a slur, a dynamic) is one child of its bar; the kinds that belong to both staves are
  named by their class. The fingering of a staff is one text, each figure in its place.

Coordinates are tenths of a unit and whole. A glyph is called by its place in the music font (SMuFL), most of them
without the E that it begins with; ids of notes begin with a letter.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sitegen.engraving.fingering import finger_of
from sitegen.engraving.glyphs import Glyphs, used
from sitegen.engraving.groups import STAFF_LINE, KeptGroup
from sitegen.engraving.paths import reach, relative, shorter
from sitegen.engraving.room import Room
from sitegen.engraving.strokes import STAFF_HEIGHT, staff_lines
from sitegen.engraving.texts import plain_text

#: Tenths of a unit in which verovio draws.
FINE = 10
#: How far before the end of the drawing words end.
_BEYOND = 30
#: The kinds of signs that pages tell apart, since they stand between the staves for both of them.
_SHARED = frozenset({"dynam", "hairpin", "barLine", "tempo", "pedal", "ending"})
#: Groups of one glyph that give way to it.
_OF_ONE_GLYPH = "notehead|keyAccid|accid|accid caution|artic|flag|clef|rest|mRest|meterSig|tupletNum"

_DEFINED = re.compile(r'<g id="([0-9A-F]{4})-\w+"><path transform="scale\(1,-1\)" d="([^"]*)"')
_EMPTY = re.compile(r'<g (?:id="[^"]*" )?class="(?!note")[^"]*"/>')
_BOX = re.compile(r'<svg class="definition-scale"[^>]* viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*>')
_TOKEN = re.compile(
    r"(?P<end></g>)"
    r'|(?P<note><g id="(?P<note_id>[^"]*)" class="note"><g class="notehead">'
    r'<use href="#(?P<head>[0-9A-F]{4})-\w+" transform="translate\((?P<hx>-?[\d.]+), (?P<hy>-?[\d.]+)\) '
    r'scale\((?P<wide>-?[\d.]+), (?P<high>-?[\d.]+)\)"/></g>(?:<g id="[^"]*" class="stem">'
    r'<path d="M(?P<sx>-?\d+) (?P<sy>-?\d+) L(?P<to_sx>-?\d+) (?P<to_sy>-?\d+)" '
    r'(?P<stem_width>stroke-width="\d+")/></g>)?</g>)'
    r'|(?P<glyph>(?P<alone><g (?:id="[^"]*" )?class="(?:' + _OF_ONE_GLYPH + r')">)?'
    r'<use href="#(?P<code>[0-9A-F]{4})-\w+" transform="translate\((?P<x>-?[\d.]+), (?P<y>-?[\d.]+)\) '
    r'scale\((?P<across>-?[\d.]+), (?P<along>-?[\d.]+)\)"/>(?(alone)</g>))'
    r'|(?P<lines><path d="M(?P<lx>-?\d+) (?P<ly>-?\d+) L(?P<lto>-?\d+) (?P=ly)" stroke-width="13"/>'
    r'(?:<path d="M(?P=lx) (?:-?\d+) L(?P=lto) (?:-?\d+)" stroke-width="13"/>){4})'
    r'|(?P<stroke>(?P<stem><g id="[^"]*" class="stem">)?<path d="M(?P<x1>-?\d+) (?P<y1>-?\d+) L(?P<x2>-?\d+) '
    r'(?P<y2>-?\d+)" (?P<width>stroke-width="\d+")/>(?(stem)</g>))'
    r'|(?P<group><g(?: id="(?P<name>[^"]*)")?(?: class="(?P<classes>[^"]*)")?(?P<more>[^>]*?)(?P<empty>/?)>)'
    r'|(?P<beam><polygon points="(?P<bx1>-?\d+),(?P<by1>-?\d+) (?P<bx2>-?\d+),(?P<by2>-?\d+) '
    r'(?P=bx2),(?P<by3>-?\d+) (?P=bx1),(?P<by4>-?\d+)"/>)'
    r'|(?P<dot><ellipse cx="(?P<dx>-?\d+)" cy="(?P<dy>-?\d+)" rx="(?P<radius>\d+)" ry="(?P=radius)"/>)'
    r'|(?P<curve><path d="(?P<turns>M(?P<cx>-?\d+,-?\d+) [-\d, C]* (?P=cx))" (?P<thick>stroke-width="\d+")'
    r' stroke-linecap="round" stroke-linejoin="round"/>)'
    r"|(?P<text><text\b[^>]*(?<!/)>.*?</text>)"
    r"|(?P<other><(?:path|polygon|polyline|ellipse|circle|rect|use)\b[^>]*/>)",
    re.S,
)
_ANY_STROKE = re.compile(
    r'<path d="M(?P<x1>-?\d+) (?P<y1>-?\d+) L(?P<x2>-?\d+) (?P<y2>-?\d+)" (?P<width>stroke-width="\d+")/>'
)
#: Numbers of groups, which are read faster than their names.
_GLYPH = [_TOKEN.groupindex[name] for name in ("code", "x", "y", "across", "along")]
_GROUP = [_TOKEN.groupindex[name] for name in ("name", "classes", "more", "empty")]
_NOTE = [_TOKEN.groupindex[name] for name in ("note_id", "head", "wide", "high", "hx", "hy", "stem_width")]
_NOTE_STEM = [_TOKEN.groupindex[name] for name in ("sx", "sy", "to_sx", "to_sy")]
_TURNED = re.compile(r'href="#([0-9A-F]{4})-[^"]*"')
_OUTLINE = re.compile(r'\b(d|points)="([^"]*)"')
_NEEDED = re.compile(r' (?:transform|visibility)="[^"]*"')
_MARGIN = re.compile(r"translate\((-?[\d.]+), (-?[\d.]+)\)")


@dataclass(frozen=True, slots=True)
class Tidied:
    """One system made fit: ``body`` its elements, ``glyphs`` the definitions that they use, by name; how far it is set
    in from ``left`` and ``top``, ``width`` and ``height``, in tenths of a unit; ``bars`` the indexes of its bars."""

    body: str
    glyphs: dict[str, str]
    left: str
    top: float
    width: float
    height: float
    bars: tuple[int, ...]


def tidy(svg: str, bars: Mapping[str, int], keep: frozenset[str]) -> Tidied:
    """A page of one system, as verovio writes it without indentation, made fit.

    ``bars`` gives the index of each measure id, ``keep`` the ids of notes to keep.
    """
    box, margin = _BOX.search(svg), _MARGIN.search(svg)
    if box is None or margin is None:
        raise ValueError("no drawing of verovio's")
    left, wide = float(margin[1]), float(box[1])
    outlines = dict(_DEFINED.findall(svg, 0, box.start()))
    drawing = _Drawing(outlines, bars, keep, Room(0, wide - left - _BEYOND))
    drawing.read(_EMPTY.sub("", svg[box.end() :]))
    top, high = float(margin[2]), float(box[2])
    above, below = max(0.0, -drawing.highest - top), max(0.0, drawing.lowest + top - high)
    return Tidied(
        "".join(drawing.elements()), drawing.glyphs.defined, margin[1], top + above, wide, above + high + below,
        tuple(drawing.seen),
    )  # fmt: skip


class _Drawing:
    """One pass over a drawing's tokens. Of the groups, those that nothing needs give way to what they hold."""

    def __init__(self, outlines: Mapping[str, str], bars: Mapping[str, int], keep: frozenset[str], room: Room) -> None:
        self._bars, self._keep, self._room = bars, keep, room
        self.glyphs = Glyphs(outlines)
        self.seen: list[int] = []
        #: How high and how low slurs and ties go, for which a page of verovio's has not always the room.
        self.highest, self.lowest = 0, 0
        self.page = KeptGroup("page")
        self._inner, self._base = self.page, self.page
        #: The groups that are open, of which those that give way are None, each with the one around it and its classes.
        self._open: list[tuple[KeptGroup | None, KeptGroup, str]] = []

    def read(self, text: str) -> None:
        """Read all tokens of ``text``."""
        handlers: dict[str | None, Callable[[re.Match[str]], None]] = {
            "end": self._end, "note": self._note, "glyph": self._glyph, "lines": self._lines, "stroke": self._stroke,
            "group": self._group, "beam": self._beam,
            "dot": self._dot, "curve": self._curve, "text": self._text, "other": self._other,
        }  # fmt: skip
        for token in _TOKEN.finditer(text):
            handlers[token.lastgroup](token)

    def elements(self) -> list[str]:
        """What was drawn: what stands before all bars, then the bars."""
        ((width, lines), *others) = [*self.page.strokes.items()] or [("", [])]
        head = self.glyphs.head(width, lines[0], self.page.items[:2]) if len(lines) == 1 and not others else None
        return self.page.elements() if head is None else [head, *self.page.items[2:]]

    def _group(self, token: re.Match[str]) -> None:
        name, classes, more, empty = token.group(*_GROUP)
        around = self._inner
        made = self._kept(name or "", (classes or "").split(), more)
        if empty:
            if made is not None and made.attributes:
                around.items.append(made.written())
            return
        self._open.append((made, around, classes or ""))
        if made is not None:
            self._inner = made
            if made.base is None:
                made.base = made
            self._base = made.base

    def _kept(self, name: str, kinds: list[str], more: str) -> KeptGroup | None:
        """The group as it stays, or None where it gives way to what it holds."""
        kind = kinds[0] if kinds else ""
        if "placeholder" in kinds:
            return KeptGroup("placeholder")
        if kind == "page-margin":
            return None
        needed = "".join(_NEEDED.findall(more)) if more else ""
        if name in self._keep:
            return KeptGroup("note", f' id="{name}"{needed}', None if needed else self._base)
        if kind == "measure":
            index = self._bars.get(name)
            if index is not None:
                self.seen.append(index)
            return KeptGroup(kind, f' data-bar="{index}"')
        if kind == "staff":
            return KeptGroup(kind)
        if kind == "keySig" and not needed:
            return KeptGroup("signature", base=self._base)
        if self._inner.kind == "measure":
            drawn = kind if kind == "barLine" else "sign"
            return KeptGroup(drawn, needed + (f' class="{kind}"' if kind in _SHARED else ""))
        return KeptGroup("sign", needed) if needed else None

    def _end(self, token: re.Match[str]) -> None:
        del token
        if not self._open:
            return
        group, around, _ = self._open.pop()
        if group is None:
            return
        self._inner = around
        self._base = around.base or around
        if group.kind == "staff" and group.lines:
            around.middles.append((group.lines[0][1] + group.lines[-1][1]) / 2)
        if group.kind != "placeholder" and (written := group.written()):
            if group.kind == "signature":
                written = self.glyphs.signature(written, around.items)
            around.items.append(written)

    def _glyph(self, token: re.Match[str]) -> None:
        """A glyph in its place; its size goes to the definition, which all in that size share."""
        code, x, y, across, along = token.group(*_GLYPH)
        self._put(used(self.glyphs.named(code, across, along), x, y))

    def _put(self, glyph: str) -> None:
        """A glyph into the group that is open; one drawn twice in one place, as accidentals that a score gives twice,
        is drawn once."""
        items = self._inner.items
        if not items or items[-1] != glyph:
            items.append(glyph)

    def _note(self, token: re.Match[str]) -> None:
        """A note that is a head and its stem: its glyph, which is the note where that is kept."""
        name, code, across, along, x, y, width = token.group(*_NOTE)
        head = self.glyphs.named(code, across, along)
        if name in self._keep:
            self._inner.items.append(used(head, x, y, f' id="{name}"'))
        else:
            self._put(used(head, x, y))
        if width:
            x, y, to_x, to_y = map(int, token.group(*_NOTE_STEM))
            self._base.strokes.setdefault(width, []).append((x, y, to_x, to_y))

    def _lines(self, token: re.Match[str]) -> None:
        """Five lines of one width: those of a staff, where they lie as these do."""
        x, y, to_x = map(int, token.group("lx", "ly", "lto"))
        base = self._base
        if base.kind == "staff" and self._open[-1][0] is base and token[0] == staff_lines(x, y, to_x):
            base.lines += [(x, y, to_x, y), (x, y + STAFF_HEIGHT, to_x, y + STAFF_HEIGHT)]
            base.drawn_lines = self.glyphs.staff(x, y, to_x)
            return
        for line in _ANY_STROKE.finditer(token[0]):
            self._stroke(line)

    def _stroke(self, token: re.Match[str]) -> None:
        width, *places = token.group("width", "x1", "y1", "x2", "y2")
        x, y, to_x, to_y = map(int, places)
        base = self._base
        if width == STAFF_LINE and base.kind == "staff" and self._open[-1][0] is base and y == to_y:
            base.lines.append((x, y, to_x, to_y))
        else:
            base.strokes.setdefault(width, []).append((x, y, to_x, to_y))

    def _beam(self, token: re.Match[str]) -> None:
        x, y, to_x, to_y, under_to, under = map(int, token.group("bx1", "by1", "bx2", "by2", "by3", "by4"))
        if to_x < x:
            x, y, under, to_x, to_y, under_to = to_x, to_y, under_to, x, y, under
        if under - y != under_to - to_y:
            self._inner.items.append(f'<path d="M{x} {y}L{to_x} {to_y}V{under_to}L{x} {under}z"/>')
            return
        top, thick = min(y, under), abs(under - y)
        self._base.fills.append((x, top, to_x - x, min(to_y, under_to) - top, thick))

    def _text(self, token: re.Match[str]) -> None:
        kinds = frozenset(kind for _, _, classes in self._open for kind in classes.split())
        words = plain_text(token[0], kinds, self.glyphs.put, self._room)
        bar = self._bar()
        finger = finger_of(words[0]) if "fing" in kinds and not self._inner.attributes else None
        if finger is None or bar is None:
            self._inner.items += words
        else:
            bar.fingers.append(finger)

    def _bar(self) -> KeptGroup | None:
        """The bar that is open."""
        return next((group for group, _, _ in self._open if group is not None and group.kind == "measure"), None)

    def _dot(self, token: re.Match[str]) -> None:
        x, y, radius = map(int, token.group("dx", "dy", "radius"))
        drawn = f'stroke-width="{2 * radius}" stroke-linecap="round"'
        self._base.strokes.setdefault(drawn, []).append((x, y, x + 1, y))

    def _curve(self, token: re.Match[str]) -> None:
        """A slur or a tie, which ends where it began: its ends need no rounding."""
        highest, lowest = reach(token["turns"])
        self.highest, self.lowest = min(self.highest, highest), max(self.lowest, lowest)
        self._inner.items.append(f'<path d="{relative(token["turns"])}" {token["thick"]}/>')

    def _other(self, token: re.Match[str]) -> None:
        # a glyph that is turned as well keeps how it is moved
        element = _TURNED.sub(lambda found: f'href="#{self.glyphs.named(found[1], "1", "1")}"', token[0])
        element = _OUTLINE.sub(lambda found: f'{found[1]}="{shorter(found[2])}"', element)
        self._inner.items.append(element)
