"""Tasks run in this process, one after the other: for looking closely, and what a worker does with its own."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from sitegen.apart import words_for
from sitegen.building.engines import Batch, Done
from sitegen.building.steps.faults import faults_of
from sitegen.building.steps.running import run
from sitegen.building.store import Damaged, Store
from sitegen.errors import SitegenError


@dataclass(slots=True)
class InProcess:
    """The engine of one place."""

    store: Store
    places: int = 1
    _waiting: deque[Batch] = field(default_factory=deque)

    def submit(self, task: Batch) -> None:
        self._waiting.append(task)

    def wait(self) -> Done:
        """The next task that is done. Raises ``OSError`` where the store cannot be written, ``MemoryError``."""
        task = self._waiting.popleft()
        sofar = Done(task.number)
        for step in run_steps(task, self.store):
            sofar = replace(step, outputs=(*sofar.outputs, *step.outputs))
        return sofar

    def close(self) -> None:
        self._waiting.clear()


def run_steps(task: Batch, store: Store) -> Iterator[Done]:
    """What becomes of each step of a task, up to the first that fails. Raises ``OSError`` where the store cannot be
    written, ``MemoryError``."""
    for order in task.orders:
        try:
            done = Done(task.number, (run(order, store),))
        except SitegenError as error:
            done = Done(task.number, faults=faults_of(error))
        except Damaged as error:
            done = Done(task.number, damaged=error.digest)
        except (OSError, MemoryError):
            raise
        except Exception as error:
            done = Done(task.number, defect=words_for(error))
        yield done
        if done.failed:
            return
