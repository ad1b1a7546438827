"""The steps by name. Where its function lies is said in words, so that who only asks for a step does not load what it
needs."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

_HERE = "sitegen.building.steps"


@dataclass(frozen=True, slots=True)
class Step:
    """``name`` is what it is called in what a build tells; ``function`` of ``module`` is what it does."""

    name: str
    module: str
    function: str


OPENING = Step("opening", f"{_HERE}.opening", "open_score")
READING = Step("reading", f"{_HERE}.reading", "read")
WISHES = Step("wishes", f"{_HERE}.wishing", "wish")
ANALYSIS = Step("analysis", f"{_HERE}.analysing", "analyse_score")
LADDER = Step("ladder", f"{_HERE}.reducing", "reduce_score")
IDLE_WISHES = Step("wishes without effect", f"{_HERE}.idling", "find_idle")
NOTATION = Step("notation", f"{_HERE}.writing", "write")
MUSICXML = Step("MusicXML", f"{_HERE}.titling", "with_title")
PLAYING = Step("playing", f"{_HERE}.playing", "play_stage")
PERFORMANCE = Step("performance", f"{_HERE}.performing", "perform")
DRAWING = Step("drawing", f"{_HERE}.drawing", "draw_stage")
EXCERPT = Step("excerpt", f"{_HERE}.excerpting", "draw_excerpt")
CARD_PICTURE = Step("card picture", f"{_HERE}.picturing", "draw_card")
EXAMINATION = Step("examination", f"{_HERE}.examining", "examine_music")
ANALYSIS_FILE = Step("analysis file", f"{_HERE}.analysis_file", "write_analysis")
SHELF = Step("gallery", f"{_HERE}.shelving", "make_shelf")
SEARCH = Step("search", f"{_HERE}.shelving", "make_search")
OUTLINE = Step("outline", f"{_HERE}.outlining", "outline_piece")
PAGES = Step("pages", f"{_HERE}.pages", "make_pages")


@dataclass(frozen=True, slots=True)
class Call:
    """A step asked for. ``inputs`` are digests of values (several for one name, or none), ``said`` plain figures and
    words; ``part`` tells which part of the piece it is for, ``weight`` how long it may take beside others."""

    step: Step
    inputs: Mapping[str, str | tuple[str, ...] | None]
    said: Mapping[str, Any] = field(default_factory=dict)
    part: str = ""
    weight: int = 0

    @property
    def name(self) -> str:
        """What is made, in words."""
        return f"{self.step.name} {self.part}".strip()

    def key(self, code: str) -> str:
        """The key of its result, where the code of the step has the digest ``code``: nothing else counts, neither
        place nor time."""
        given = [self.step.name, code, sorted(self.inputs.items()), sorted(self.said.items())]
        return hashlib.sha256(json.dumps(given, ensure_ascii=False).encode()).hexdigest()
