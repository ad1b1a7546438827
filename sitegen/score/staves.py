"""Which hand plays which staff."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from sitegen.score.mei_values import tag
from sitegen.score.nouns import Hand, Staff


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
    (piano music on three staves), else to nobody's hand (a singer's).
    """
    count = max(found, default=1)
    piano = found.get(count, StaffFound())

    def hand(number: int) -> Hand | None:
        if number == count and count > 1:
            return "left"
        if number >= count - 1 or found.get(number) == piano:
            return "right"
        return None

    return tuple(Staff(n, hand(n), found.get(n, StaffFound()).label) for n in range(1, count + 1))


def _label(element: Element) -> str:
    label = next((child for child in element if tag(child) == "label"), None)
    return " ".join("".join(label.itertext()).split()) if label is not None else element.get("label", "")
