"""Stages as steps hand them on: at a glance, and with their notes apart."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sitegen.reduction import Stage, StageNote


@dataclass(frozen=True, slots=True)
class StageAtAGlance:
    """A stage at a glance."""

    slug: str
    title: str
    also: tuple[str, ...]
    notes: int
    as_written: bool

    @property
    def stage(self) -> Stage:
        """A stage of this name, of which nothing else is known."""
        return Stage(self.slug, self.title, (), (), also=self.also, as_written=self.as_written)


def whole(stages: tuple[Stage, ...], notes: tuple[tuple[StageNote, ...], ...]) -> tuple[Stage, ...]:
    """Stages with their notes, which steps hand on apart."""
    return tuple(replace(stage, notes=own) for stage, own in zip(stages, notes, strict=True))
