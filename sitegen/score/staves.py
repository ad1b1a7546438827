"""Which hand plays which staff."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from sitegen.score.mei_values import tag
from sitegen.score.nouns import Hand, Staff

CHOIR = 4  # staves: three may be a singer's and a pianist's


@dataclass(frozen=True, slots=True)
class StaffFound:
    """A staff as defined: ``group`` numbers the innermost bracket or brace of two or more staves that holds it."""

    label: str = ""
    group: int = 0


def find_staves(definition: Element) -> dict[int, StaffFound]:
    """The staves that a ``scoreDef`` defines, with the label of their own or of the group they stand in."""
    found: dict[int, StaffFound] = {}
    groups = 0

    def visit(element: Element, label: str, group: int) -> None:
        nonlocal groups
        for child in element:
            if tag(child) == "staffGrp":
                groups += 1
                many = sum(1 for e in child.iter() if tag(e) == "staffDef") > 1
                visit(child, _label(child) or label, groups if many else group)
            elif tag(child) == "staffDef":
                found[int(child.get("n") or 1)] = StaffFound(_label(child) or label, group)

    visit(definition, "", 0)
    return found


def name_hands(found: dict[int, StaffFound]) -> tuple[Staff, ...]:
    """The staves with their hands.

    One staff is the right hand's. Of more, the lowest is the left hand's and the one above it the right hand's. A
    staff above those belongs to the right hand too where it stands in the pianist's brace and has the same name
    (piano music on three staves), else to nobody's hand (a singer's). Singers without a pianist are one choir, of which
    the upper half of the staves is the right hand's, the lower half the left hand's, as in a piano score of it.
    """
    count = max(found, default=1)
    piano = found.get(count, StaffFound())
    choir = _is_choir([found.get(number, StaffFound()) for number in range(1, count + 1)])

    def hand(number: int) -> Hand | None:
        if choir:
            return "right" if 2 * number <= count + 1 else "left"
        if number == count and count > 1:
            return "left"
        if number >= count - 1 or found.get(number) == piano:
            return "right"
        return None

    return tuple(Staff(n, hand(n), found.get(n, StaffFound()).label) for n in range(1, count + 1))


def _is_choir(staves: Sequence[StaffFound]) -> bool:
    """Whether staves are those of a choir or a quartet: four or more in one bracket or in none, each with a name of its
    own, or all without."""
    labels = {staff.label for staff in staves}
    alike = len({staff.group for staff in staves}) == 1
    return len(staves) >= CHOIR and alike and (len(labels) == len(staves) or labels == {""})


def _label(element: Element) -> str:
    label = next((child for child in element if tag(child) == "label"), None)
    return " ".join("".join(label.itertext()).split()) if label is not None else element.get("label", "")
