"""All pieces through their plans: some at a time, the biggest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sitegen.building.asking import Studio
from sitegen.building.code import Sources, digest_of_parts
from sitegen.building.codec import from_bytes, to_bytes
from sitegen.building.engines import Engine
from sitegen.building.engines.in_process import InProcess
from sitegen.building.progress import Estimate, Progress, Tell
from sitegen.building.scheduling import Plan, Scheduler
from sitegen.building.steps.table import Call, Step
from sitegen.building.store import Damaged, Store
from sitegen.library import Piece

MADE_AT_ONCE = 3
"""Pieces on their way for each place of the engine: so many that it is never idle, so few that some are done soon."""
AGAIN = 1000
"""How often a piece is begun anew because the store has lost something of it."""

_IMPORTS = "imports"


@dataclass(slots=True)
class Code:
    """The code of the steps: a digest of each, and by the step's name the ``parts`` that it is made from. What is given
    of these at first is not looked up."""

    store: Store
    parts: dict[str, dict[str, str]] = field(default_factory=dict)
    _digests: dict[str, str] = field(default_factory=dict)
    _sources: Sources | None = None

    def of(self, step: Step) -> str:
        """The digest of a step's code."""
        if step.module not in self._digests:
            if step.name not in self.parts:
                self.parts[step.name] = self._parts_of(step.module)
            self._digests[step.module] = digest_of_parts(self.parts[step.name])
        return self._digests[step.module]

    def _parts_of(self, module: str) -> dict[str, str]:
        if self._sources is None:
            known = self.store.note(_IMPORTS)
            self._sources = Sources(known=from_bytes(known, dict[str, list[tuple[str, str]]]) if known else {})
        before = len(self._sources.known)
        parts = self._sources.parts_of(module)
        if len(self._sources.known) != before:
            self.store.write_note(_IMPORTS, to_bytes(self._sources.known))
        return parts


def nothing_told(name: str, call: Call) -> None:
    """For whom what is run is of no interest."""


@dataclass(slots=True)
class Driver:
    """Runs the plans of pieces on an ``engine``. ``tell_asked`` and ``tell_run`` as for the ``Scheduler``."""

    engine: Engine
    studio: Studio
    code: Code
    tell_asked: Callable[[str, Call], None] = nothing_told
    tell_run: Callable[[str, Call], None] = nothing_told

    def drive(
        self, pieces: Sequence[Piece], plan_of: Callable[[Piece, Studio], Plan], tell: Tell
    ) -> Iterator[tuple[Piece, Any]]:
        """What the plan of each piece gives, as they are done. A plan from which something was lost is begun anew."""
        sizes = {piece.slug: _size(piece) for piece in pieces}
        waiting = sorted(pieces, key=lambda piece: (-sizes[piece.slug], piece.slug))
        by_slug, again = {piece.slug: piece for piece in pieces}, dict.fromkeys(sizes, 0)
        estimate, done = Estimate(sizes), 0

        def running(slug: str, call: Call) -> None:
            self.tell_run(slug, call)
            tell(Progress(f"{slug}: {call.name}", done, len(pieces), estimate.left))

        scheduler = Scheduler(self.engine, self.studio.store, self.code.of, running, self.tell_asked)
        started = 0
        while done < len(pieces):
            while started < len(pieces) and started - done < MADE_AT_ONCE * self.engine.places:
                scheduler.start(waiting[started].slug, plan_of(waiting[started], self.studio))
                started += 1
            slug, made, error = scheduler.next_ended()
            if isinstance(error, Damaged) and again[slug] < AGAIN:
                again[slug] += 1
                scheduler.start(slug, plan_of(by_slug[slug], self.studio))
                continue
            if error is not None:
                raise error
            done += 1
            estimate.ended(slug)
            tell(Progress(slug, done, len(pieces), estimate.left, slug))
            yield by_slug[slug], made


def run_here(plan: Callable[[], Plan], store: Store, code: Code) -> Any:
    """What a plan gives whose steps are run in this process. Raises what the plan raises."""
    return run_one(plan, InProcess(store), store, code)


def run_one(plan: Callable[[], Plan], engine: Engine, store: Store, code: Code) -> Any:
    """What a plan gives whose steps are run by ``engine``. Raises what the plan raises."""
    again = 0
    while True:
        scheduler = Scheduler(engine, store, code.of)
        scheduler.start("", plan())
        _, made, error = scheduler.next_ended()
        if error is None:
            return made
        again += 1
        if not isinstance(error, Damaged) or again == AGAIN:
            raise error


def _size(piece: Piece) -> int:
    """The bytes of its score, where it is there."""
    try:
        return piece.score.stat().st_size
    except OSError:
        return 0
