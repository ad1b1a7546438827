"""Where steps are run: in this process, or apart in others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from sitegen.building.steps.faults import Fault
from sitegen.building.steps.running import StepOrder
from sitegen.building.store import Store


@dataclass(frozen=True, slots=True)
class Batch:
    """Steps that are run one after the other in one place; what they leave there is of use to the next."""

    number: int
    orders: tuple[StepOrder, ...]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Done:
    """What became of the task with this ``number``: for each order the digests by name, up to that which failed.

    It failed by ``faults`` of the content, by a ``defect`` of the program (in words), because it ``died``, took too
    long or too much memory (in words, and the ``remedy``), or because a value that it needs is ``damaged`` (its
    digest).
    """

    number: int
    outputs: tuple[dict[str, str], ...] = ()
    faults: tuple[Fault, ...] = ()
    defect: str = ""
    died: str = ""
    damaged: str = ""
    remedy: str = ""

    @property
    def failed(self) -> bool:
        """Whether not all of it was made."""
        return bool(self.faults or self.defect or self.died or self.damaged)


class Engine(Protocol):
    """Runs tasks, ``places`` of them at a time."""

    places: int

    def submit(self, task: Batch) -> None:
        """Have a task run."""

    def wait(self) -> Done:
        """The next task that is done."""

    def close(self) -> None:
        """End; what still runs is given up."""


def remember(store: Store, task: Batch, done: Done) -> None:
    """Let the ``store`` of this process know what a task has put there from another."""
    store.remember(order.key for order in task.orders)
    store.remember(digest for outputs in done.outputs for digest in outputs.values())
