"""The ladder of a piece: its stages in order, fewest notes first, the score as written last."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from sitegen.analysis.nouns import Analysis
from sitegen.reduction.material import Material, gather
from sitegen.reduction.nesting import take_over
from sitegen.reduction.nouns import Stage, StageNote
from sitegen.reduction.registry import Technique, techniques
from sitegen.reduction.striking import in_order
from sitegen.reduction.tidying import tidy
from sitegen.score import Score

RUNGS = (
    "bass line",
    "outer voices",
    "melody by the beat",
    "melody without ornaments",
    "leaning notes",
    "complete melody over bass",
    "complete melody over blocked chords",
)


def build_ladder(score: Score, analysis: Analysis) -> tuple[Stage, ...]:
    """The stages of ``score``, each nested in the next, the score as written last. Pure and deterministic."""
    material = gather(score, analysis)
    table = techniques()
    stages: list[Stage] = []
    before: Sequence[StageNote] = ()
    for name in RUNGS:
        notes = tidy(take_over(before, table[name].reduce(material), material.by_id))
        stages.append(_stage(table[name], notes))
        before = notes
    return (*_distinct(stages), _as_written(material, table["as written"]))


def slug_of(title: str) -> str:
    """A title in lower case letters, figures and hyphens: safe in a URL and in an XML id."""
    slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
    return slug if slug[:1].isalpha() else f"stage-{slug}".rstrip("-")


def _stage(row: Technique, notes: Iterable[StageNote]) -> Stage:
    slug = slug_of(row.name)
    named = tuple(replace(note, id=f"{slug}-{number}") for number, note in enumerate(notes, 1))
    return Stage(slug, row.name.capitalize(), (row.name,), named, row.pupil, row.side_study)


def _as_written(material: Material, row: Technique) -> Stage:
    notes = in_order(replace(note, id=note.sources[0]) for note in row.reduce(material))
    return Stage("as-written", "As written", (row.name,), notes, row.pupil, as_written=True)


def _distinct(stages: Sequence[Stage]) -> list[Stage]:
    """Of stages that come out the same the first is kept, and none that is empty."""
    found: list[Stage] = []
    for stage in stages:
        if stage.notes and (not found or _music(found[-1]) != _music(stage)):
            found.append(stage)
    return found


def _music(stage: Stage) -> list[tuple[int, int, int, int]]:
    return [(note.onset, note.duration, note.midi, note.staff) for note in stage.notes]
