"""The groups that stay in a drawing: what is in each while it is read, and each as text."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from sitegen.engraving.fingering import Finger, fingering
from sitegen.engraving.strokes import Beam, Stroke, filled, joined_uprights, stroked

#: How wide the lines of a staff are drawn.
STAFF_LINE = 'stroke-width="13"'

_TAG = re.compile(r"<\w+")


@dataclass(slots=True)
class KeptGroup:
    """A group that stays, while it is read: its kind, its attributes, and what is in it. Strokes of notes belong to
    their staff, its ``base``, by how they are drawn."""

    kind: str
    attributes: str = ""
    base: KeptGroup | None = None
    lines: list[Stroke] = field(default_factory=list)
    drawn_lines: str = ""
    strokes: dict[str, list[Stroke]] = field(default_factory=dict)
    fills: list[Beam] = field(default_factory=list)
    fingers: list[Finger] = field(default_factory=list)
    middles: list[float] = field(default_factory=list)
    items: list[str] = field(default_factory=list)

    def elements(self) -> list[str]:
        """What is in it: like strokes and fills as one path each, then all else."""
        paths = [
            f'<path {attributes} d="{stroked(joined_uprights(drawn) if self.kind == "barLine" else drawn)}"/>'
            for attributes, drawn in self.strokes.items()
        ]
        if self.fills:
            paths.append(f'<path d="{filled(self.fills)}"/>')
        figures = fingering(self.fingers, self.middles) if self.fingers else []
        return paths + self.items + figures

    def written(self) -> str:
        """It as text; empty where it is not needed and holds nothing."""
        elements = self.elements()
        inside = "".join(elements)
        if self.kind == "staff":
            return self._staff(f"<g>{inside}</g>" if inside else "")
        if len(elements) == 1:
            (only,) = elements
            if self.kind == "note" and only.startswith("<use "):
                return f"<use{self.attributes}{only[4:]}"
            if self.kind in ("sign", "barLine", "signature") and not self.attributes:
                return only
            if self.attributes.startswith(" class=") and self.kind in ("sign", "barLine"):
                tag = _TAG.match(only)
                return f"{tag[0]}{self.attributes}{only[tag.end() :]}" if tag else only
        if self.kind == "signature":
            return inside
        return f"<g{self.attributes}>{inside}</g>" if inside else f"<g{self.attributes}/>" if self.attributes else ""

    def _staff(self, inside: str) -> str:
        if self.drawn_lines:
            return f"<g>{self.drawn_lines}{inside}</g>"
        lines = "".join(f"M{x} {y}H{to_x}" for x, y, to_x, _ in self.lines)
        path = f'<path {STAFF_LINE} d="{lines}"/>' if lines else ""
        return f'<g class="staff">{path}{inside}</g>'
