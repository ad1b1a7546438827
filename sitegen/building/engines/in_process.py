"""Tasks run in this process, one after the other: for what is small, and for looking closely."""

from __future__ import annotations

import traceback
from collections import deque
from dataclasses import dataclass, field

from sitegen.building.engines import Done, Task
from sitegen.building.steps.faults import faults_of
from sitegen.building.steps.running import run
from sitegen.building.store import Damaged, Store
from sitegen.errors import SitegenError


@dataclass(slots=True)
class InProcess:
    """The engine of one place."""

    store: Store
    places: int = 1
    _waiting: deque[Task] = field(default_factory=deque)

    def submit(self, task: Task) -> None:
        self._waiting.append(task)

    def wait(self) -> Done:
        return run_task(self._waiting.popleft(), self.store)

    def close(self) -> None:
        self._waiting.clear()


def run_task(task: Task, store: Store) -> Done:
    """The steps of a task, up to the first that fails. Raises ``OSError`` where the store cannot be written."""
    made: list[dict[str, str]] = []
    try:
        for order in task.orders:
            made.append(run(order, store))
    except SitegenError as error:
        return Done(task.number, tuple(made), faults=faults_of(error))
    except Damaged as error:
        return Done(task.number, tuple(made), damaged=error.digest)
    except OSError:
        raise
    except Exception as error:
        told = f"{type(error).__name__}: {' '.join(str(error).split())[:160]}"
        return Done(task.number, tuple(made), defect=told + _where(error))
    return Done(task.number, tuple(made))


def _where(error: Exception) -> str:
    """The place in the program, for whoever mends it."""
    frames = [f for f in traceback.extract_tb(error.__traceback__) if "sitegen" in f.filename]
    return f", {frames[-1].filename.rpartition('sitegen/')[2]}:{frames[-1].lineno}" if frames else ""
