"""Tasks run in processes of their own, which may die or be ended without costing more than the task they had."""

from __future__ import annotations

import queue
import signal
from collections.abc import Sequence
from concurrent.futures import CancelledError, Future
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from multiprocessing import get_context
from typing import Any

from pebble import ProcessExpired, ProcessPool

from sitegen.building.engines import Done, Task, remember
from sitegen.building.engines.in_process import run_task
from sitegen.building.store import Store

PATIENCE = 600
"""Seconds that a task may take; the longest sonata movement needs a tenth of it."""
MEMORY = 3 << 30
"""Bytes that a worker may hold, where the system can limit it."""


@dataclass(slots=True)
class Workers:
    """The engine of several processes, started when they are needed."""

    store: Store
    places: int
    patience: float = PATIENCE
    memory: int = MEMORY
    _pool: ProcessPool | None = None
    _done: queue.SimpleQueue[tuple[Task, Future[Any]]] = field(default_factory=queue.SimpleQueue)

    def begin(self, modules: Sequence[str]) -> None:
        """Start the processes, and have one of them load ``modules``, while this one has other things to do."""
        self._started().schedule(_load, args=[tuple(modules)], timeout=self.patience)

    def submit(self, task: Task) -> None:
        future = self._started().schedule(_run, args=[task, self.store.folder, self.store.fresh], timeout=self.patience)
        future.add_done_callback(lambda done: self._done.put((task, done)))

    def wait(self) -> Done:
        """The next task that is done. Raises ``OSError`` where the store cannot be written."""
        task, future = self._done.get()
        try:
            done: Done = future.result()
        except TimeoutError:
            return Done(task.number, died=f"took more than {self.patience:g} seconds")
        except (ProcessExpired, CancelledError):
            return Done(task.number, died="broke down")
        remember(self.store, task, done)
        return done

    def _started(self) -> ProcessPool:
        if self._pool is None:
            context = get_context("spawn")
            self._pool = ProcessPool(self.places, initializer=_begin, initargs=[self.memory], context=context)
        return self._pool

    def close(self) -> None:
        if self._pool is not None:
            self._pool.stop()  # type: ignore[no-untyped-call]
            self._pool.join()
            self._pool = None


def _load(modules: tuple[str, ...]) -> None:
    for module in modules:
        import_module(module)


def _begin(memory: int) -> None:
    """Ctrl-C is for the parent to hear; and a worker that takes all memory ends itself, not the machine."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(ImportError, OSError, ValueError):
        import resource

        resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))


_stores: dict[Any, Store] = {}


def _run(task: Task, folder: Any, fresh: bool) -> Done:
    return run_task(task, _stores.setdefault((folder, fresh), Store(folder, fresh)))
