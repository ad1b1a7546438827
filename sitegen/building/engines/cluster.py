"""Tasks run on the workers of a Dask cluster, which read and write one store with this process.

A worker that is lost costs nothing but the time of its task: the cluster runs that on another. Each worker has a
process of its own for the tasks, under the same limits as on one machine.
"""

from __future__ import annotations

import hashlib
import queue
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from distributed import Client, Future
from distributed.client import FutureCancelledError
from distributed.scheduler import KilledWorker

from sitegen.apart import BROKEN_DOWN, USUAL, Limits
from sitegen.building.engines import Batch, Done, remember
from sitegen.building.engines.workers import Workers
from sitegen.building.store import Store
from sitegen.errors import ContentError

PROGRAM = Path(__file__).parents[2]
_WAITED = "30s"  # for the cluster to answer
_ATTEMPTS = 2  # on other workers, where one was lost


@dataclass(slots=True)
class Cluster:
    """The engine of a cluster: as many places as its workers have threads, of which each runs one task at a time."""

    store: Store
    client: Client
    places: int
    limits: Limits = USUAL
    _done: queue.SimpleQueue[tuple[Batch, Future]] = field(default_factory=queue.SimpleQueue)

    def submit(self, task: Batch) -> None:
        arguments = (task, self.store.folder.resolve(), self.store.fresh, self.limits, program_digest())
        future = self.client.submit(_run, *arguments, pure=False, retries=_ATTEMPTS)
        future.add_done_callback(lambda done: self._done.put((task, done)))

    def wait(self) -> Done:
        """The next task that is done. Raises ``ContentError`` where a worker is not fit for any, ``OSError`` where the
        store cannot be written."""
        task, future = self._done.get()
        try:
            done: Done = future.result()
        except (KilledWorker, FutureCancelledError):
            return Done(task.number, died="broke down", remedy=BROKEN_DOWN)
        remember(self.store, task, done)
        return done

    def close(self) -> None:
        self.client.close()


def join_cluster(address: str, store: Store, limits: Limits = USUAL) -> Cluster:
    """The engine of the cluster whose scheduler is at ``address``, such as ``tcp://10.0.0.5:8786``.

    Raises ``ContentError`` where none answers, or where it has no worker.
    """
    try:
        client = Client(address, timeout=_WAITED, set_as_default=False)
    except (OSError, ValueError) as error:
        remedy = "Start one with 'dask scheduler', and workers with 'dask worker ADDRESS --nthreads 1'."
        raise ContentError(f"no cluster answers at '{address}'", remedy) from error
    places = sum(client.nthreads().values())
    if not places:
        client.close()
        raise ContentError(
            f"the cluster at '{address}' has no worker", f"Start some: dask worker {address} --nthreads 1"
        )
    return Cluster(store, client, places, limits)


@cache
def program_digest() -> str:
    """A digest of this program: what a worker makes is kept under the keys of the program that asked for it."""
    digest = hashlib.sha256()
    for file in sorted(PROGRAM.rglob("*")):
        if file.suffix in (".py", ".json"):
            digest.update(f"{file.relative_to(PROGRAM).as_posix()}\n".encode() + file.read_bytes())
    return digest.hexdigest()


_hand = ThreadPoolExecutor(1)
"""All tasks of a worker go through one thread, whatever its number of threads, to a process of the worker's own: what
ends that costs its task, and not the worker."""
_engines: dict[Any, Workers] = {}


def _run(task: Batch, folder: Path, fresh: bool, limits: Limits, program: str) -> Done:
    """Run on a worker. Raises ``ContentError`` where it has another program, or does not see the store."""
    if program_digest() != program:
        raise ContentError(
            "a worker of the cluster has another version of sitegen", "Install the same on all, and start it again."
        )
    if not folder.is_dir():
        raise ContentError(
            "a worker of the cluster does not see the store", "Let SITEGEN_CACHE name a folder that all share.", folder
        )
    return _hand.submit(_run_apart, task, Store(folder, fresh), limits).result()


def _run_apart(task: Batch, store: Store, limits: Limits) -> Done:
    engine = _engines.setdefault((store.folder, store.fresh, limits), Workers(store, 1, limits))
    engine.submit(task)
    return engine.wait()
