"""What an edition in MEI says of its own text, settled before anything reads or draws it, so that both have one text.

What an editor supplied, corrected, added or finds hard to read is music like any other. What is struck out is not
played, unless it was restored. Of several readings one is: the lemma of an apparatus or its first reading, of a choice
the correction, the sign that is written out, or the first; that is said. The copies that an element is said to be are
written out, and the movements of a file follow each other, their bars counted on.

Source: the MEI guidelines, modules "Editorial markup" and "Critical apparatus"; ``copyof`` in "Linking".
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from sitegen.errors import ScoreError
from sitegen.score.ids import XML_ID
from sitegen.score.lengths import MOST_NOTES, too_long
from sitegen.score.mei_values import tag
from sitegen.score.oddities import Oddities

_MUSIC = ("music", "group", "body", "mdiv", "score", "section", "ending", "measure", "staff", "layer", "beam",
          "beamSpan", "tuplet", "chord", "note", "rest", "graceGrp", "bTrem", "fTrem", "ligature", "scoreDef",
          "staffGrp", "staffDef", "layerDef")  # fmt: skip
_TRANSPARENT = ("supplied", "unclear", "add", "restore", "corr", "sic", "reg", "orig", "expan", "abbr", "damage", "lem",
                "rdg", "subst", "ossia")  # fmt: skip
_PREFERRED = {"app": ("lem",), "choice": ("corr", "expan")}
_OF_OSSIA = ("oStaff", "oLayer")
_CALLED = {"lem": "the lemma", "corr": "the correction", "expan": "the one that is written out"}
_MOST_COPIED = 10 * MOST_NOTES


def settle_text(root: Element, odd: Oddities, file: str) -> None:
    """Make one text of an edition, and say in ``odd`` what was chosen. Raises ``ScoreError`` where it holds no score,
    or more than a piece."""
    _write_out_copies(root, file)
    _rest_for_shared_notes(root)
    _Settling(odd).settle(root)
    _join_movements(root, odd, file)


@dataclass(slots=True)
class _Settling:
    """Walks the music; ``bar`` is the one reached, ``inside`` says that the walk is within an edition's markup."""

    odd: Oddities
    bar: str = ""
    count: int = field(default=0)

    def settle(self, element: Element, restored: bool = False) -> None:
        """Settle the children of one element and all below them."""
        children: list[Element] = []
        for child in element:
            children += self._text_of(child, tag(element), restored)
        if children != list(element):
            element[:] = children

    def _text_of(self, child: Element, parent: str, restored: bool) -> Iterator[Element]:
        """What stands for ``child`` in the text that is played."""
        name = tag(child)
        if parent not in _MUSIC and parent != "mei":
            yield child
            return
        if name == "measure":
            self.count += 1
            self.bar = f"bar {child.get('n') or self.count}"
        if name == "del" and not restored:
            self.odd.add(self._place(child), "what is struck out is not played", "Restore it in the file if it counts.")
        elif name in _TRANSPARENT or name == "del":
            for inner in child:
                if tag(inner) not in _OF_OSSIA:
                    yield from self._text_of(inner, parent, restored or name == "restore")
                else:
                    self.odd.add(self._place(child), "an ossia is left out", "Write it as the text if it is played.")
        elif name in _PREFERRED:
            chosen = self._chosen(child, name)
            if chosen is not None:
                yield from self._text_of(chosen, parent, restored)
        else:
            if name in _MUSIC:
                self.settle(child, restored)
            yield child

    def _chosen(self, child: Element, name: str) -> Element | None:
        readings = [reading for reading in child if tag(reading)]
        better = [reading for reading in readings if tag(reading) in _PREFERRED[name]]
        chosen = next(iter(better or readings), None)
        if chosen is not None and len(readings) > 1:
            called = _CALLED.get(tag(chosen), "the first")
            self.odd.add(self._place(child), f"the edition has several readings; {called} is played and drawn",
                         "Leave in the file the one that you want.")  # fmt: skip
        return chosen

    def _place(self, element: Element) -> str:
        """The bar that an element stands in, or the first one that it holds."""
        first = next((e for e in element.iter() if tag(e) == "measure"), None)
        return self.bar if first is None else f"bar {first.get('n') or self.count + 1}"


def _write_out_copies(root: Element, file: str) -> None:
    """Give an element that is said to be the copy of another what that one holds."""
    named = {e.get(XML_ID): e for e in root.iter() if e.get(XML_ID)}
    copied = 0
    for element in list(root.iter()):
        original = named.get((element.get("copyof") or "").removeprefix("#"))
        if original is None or len(element) or element in list(original.iter()):
            continue
        for key, value in original.attrib.items():
            if key != XML_ID:
                element.attrib.setdefault(key, value)
        for child in original:
            copy = deepcopy(child)
            for inner in copy.iter():
                inner.attrib.pop(XML_ID, None)
                copied += 1
            element.append(copy)
        if copied > _MOST_COPIED:
            raise too_long(file)


def _rest_for_shared_notes(root: Element) -> None:
    """A note that is the same as another, as two voices share a notehead, is struck once: its voice only waits."""
    named = {e.get(XML_ID): e for e in root.iter() if e.get(XML_ID)}
    of_chords = {note for e in root.iter() if tag(e) == "chord" for note in e}
    for element in root.iter():
        if element in of_chords:
            continue
        shared = named.get((element.get("sameas") or "").removeprefix("#"))
        if tag(element) != "note" or element.get("pname") or shared is None or tag(shared) != "note":
            continue
        element.tag = f"{element.tag.removesuffix('note')}space"
        for key in ("dur", "dots"):
            if shared.get(key):
                element.attrib.setdefault(key, shared.get(key, ""))


def _join_movements(root: Element, odd: Oddities, file: str) -> None:
    """Append the movements of a file to the first, their bars counted on where they begin anew."""
    music = next((e for e in root.iter() if tag(e) == "music"), root)
    scores = [e for e in music.iter() if tag(e) == "score"]
    if not scores and any(tag(e) == "part" for e in music.iter()):
        raise ScoreError("holds parts and no score", "Export it as a score.", file)
    parents = {child: parent for parent in music.iter() for child in parent} if len(scores) > 1 else {}
    for score in scores[1:]:
        offset = _count_on(score, scores[0])
        space = score.tag.removesuffix("score")
        section = Element(f"{space}section")
        section.extend(list(score))
        scores[0].append(section)
        parents[score].remove(score)
        first = next((e for e in section.iter() if tag(e) == "measure"), None)
        where = f"bar {first.get('n')}" if first is not None and first.get("n") else ""
        counted = ", and its bars are counted on" if offset else ""
        odd.add(where, f"another movement begins; it is read as the same piece{counted}",
                "Give each movement a file of its own.")  # fmt: skip


def _count_on(score: Element, before: Element) -> int:
    """Raise the numbers of a movement's bars by that of the last bar before it, where they would come twice; returns
    by how much."""
    last = max((_number(e.get("n")) or 0 for e in before.iter() if tag(e) == "measure"), default=0)
    bars = [e for e in score.iter() if tag(e) == "measure"]
    first = next((number for e in bars if (number := _number(e.get("n"))) is not None), 1)
    if first > last:
        return 0
    for bar in bars:
        number = _number(bar.get("n"))
        if number is not None:
            bar.set("n", str(number + last) + re.sub(r"^\d+", "", bar.get("n") or ""))
    return last


def _number(text: str | None) -> int | None:
    found = re.match(r"\d{1,6}", text or "")
    return int(found[0]) if found else None
