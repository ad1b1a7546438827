"""The noteheads of an MEI text, measure by measure, by a walk that knows only what is to be played.

That is nothing that is struck out, unless it is restored; of several readings one: the lemma, the correction, or the
first; the notes of a bar once more where a sign repeats it, or an element is said to be the copy of another.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

import defusedxml.ElementTree as SafeTree

_ID = "{http://www.w3.org/XML/1998/namespace}id"
_CHOSEN = {"app": ("lem",), "choice": ("corr", "expan"), "subst": ("add",)}
_SILENT = ("meiHead", "facsimile", "oStaff", "oLayer", "incip", "front", "back", "scoreDef", "staffDef", "del", "parts")
_MOST_COPIES = 8


def count_mei(text: str) -> tuple[int, ...]:
    """How many noteheads each measure holds."""
    return _Count(SafeTree.fromstring(text)).bars()


class _Count:
    """``named`` are the elements that others may be copies of."""

    def __init__(self, root: Element) -> None:
        self.root = root
        self.named = {element.get(_ID): element for element in root.iter() if element.get(_ID)}

    def bars(self) -> tuple[int, ...]:
        before: dict[tuple[str, str], int] = {}
        counts = []
        for measure in self._played(self.root, "measure"):
            here: dict[tuple[str, str], int] = {}
            for s, staff in enumerate(self._played(measure, "staff"), 1):
                for n, layer in enumerate(self._played(staff, "layer"), 1):
                    place = staff.get("n") or str(s), layer.get("n") or str(n)
                    again = sum(1 for _ in self._played(layer, "mRpt"))
                    notes = sum(1 for note in self._played(layer, "note") if self._pitched(note))
                    here[place] = here.get(place, 0) + notes + again * before.get(place, 0)
            before |= here
            counts.append(sum(here.values()))
        return tuple(counts)

    def _played(self, element: Element, wanted: str, copies: int = 0) -> Iterator[Element]:
        """The elements called ``wanted`` within one that are to be played, in order."""
        children = list(element)
        name = _name(element)
        original = self.named.get((element.get("copyof") or "").removeprefix("#"))
        if not children and original is not None and copies < _MOST_COPIES:
            children, copies = list(original), copies + 1
        if name in _CHOSEN:
            elements = [child for child in children if _name(child)]
            preferred = [child for child in elements if _name(child) in _CHOSEN[name]]
            children = (preferred or elements)[:1]
        for child in children:
            inner = _name(child)
            if inner == "restore":
                yield from self._restored(child, wanted, copies)
            elif inner == wanted:
                yield child
            elif inner and inner not in _SILENT:
                yield from self._played(child, wanted, copies)

    def _restored(self, element: Element, wanted: str, copies: int) -> Iterator[Element]:
        for child in element:
            if _name(child) == wanted:
                yield child
            elif _name(child) == "del":
                yield from self._restored(child, wanted, copies)
            else:
                yield from self._played(_only(child), wanted, copies)

    def _pitched(self, note: Element) -> bool:
        """Whether a note, or that of which it is a copy, has a pitch."""
        original = self.named.get((note.get("copyof") or "").removeprefix("#"), note)
        step = note.get("pname") or original.get("pname") or ""
        octave = next((o for e in (note, original) if (o := e.get("oct") or e.get("oct.ges"))), "")
        return step in tuple("abcdefg") and octave.isdigit()


def _only(child: Element) -> Element:
    """An element that holds ``child`` alone."""
    holder = Element("restored")
    holder.append(child)
    return holder


def _name(element: Element) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
