"""Tasks run in processes of their own, which may die or be ended without costing more than the task they had.

What a process has done before may be why it breaks down: a task that was not its first is tried once more in a new one,
and only what breaks down there too is at fault.
"""

from __future__ import annotations

import queue
import threading
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from importlib import import_module
from pathlib import Path

from sitegen.apart import USUAL, Child, Failure, Limits, Reply
from sitegen.building.codec import from_bytes, to_bytes
from sitegen.building.engines import Batch, Done, remember
from sitegen.building.engines.in_process import run_steps
from sitegen.building.store import Store
from sitegen.errors import SitegenError
from sitegen.stopping import when_stopped


@dataclass(frozen=True, slots=True)
class _Errand:
    """A task as a process is given it, with the store from which it takes and into which it puts."""

    task: Batch
    folder: str
    fresh: bool


Heard = queue.SimpleQueue["tuple[_Hand, Reply | Failure | OSError | SitegenError]"]


@dataclass(slots=True, eq=False)
class _Hand:
    """A process with what it is to do, in order (None: to load modules), and what became of the first so far. ``used``
    is one that has done a task."""

    child: Child
    tasks: deque[Batch | None] = field(default_factory=deque)
    sofar: Done = field(default_factory=lambda: Done(0))
    used: bool = False
    listener: threading.Thread | None = None

    def give(self, task: Batch, sofar: Done, store: Store) -> None:
        """Have it do what is left of a task."""
        self.tasks.append(task)
        self.sofar = sofar
        left = replace(task, orders=task.orders[len(sofar.outputs) :])
        errand = _Errand(left, str(store.folder.resolve()), store.fresh)
        self.child.call(f"{__name__}:run_errand", to_bytes(errand))

    def end(self) -> None:
        """End the process."""
        self.child.kill()
        if self.listener is not None:
            self.listener.join()  # who still reads what it says sees that it is gone
        self.child.end()

    def listen_to(self, replies: Heard) -> None:
        """Hand on what the process says from now on."""
        self.listener = threading.Thread(target=self._listen, args=[replies], daemon=True)
        self.listener.start()

    def _listen(self, replies: Heard) -> None:
        while True:
            try:
                replies.put((self, self.child.reply()))
            except (OSError, SitegenError) as error:
                replies.put((self, error))
            except Failure as failure:
                replies.put((self, failure))
                return


@dataclass(slots=True)
class Workers:
    """The engine of several processes, started when they are needed."""

    store: Store
    places: int
    limits: Limits = USUAL
    _hands: list[_Hand] = field(default_factory=list)
    _replies: Heard = field(default_factory=queue.SimpleQueue)
    _open: ExitStack = field(default_factory=ExitStack)

    def begin(self, modules: Sequence[str]) -> None:
        """Start a process, and have it load ``modules``, while this one has other things to do."""
        hand = self._start()
        hand.tasks.append(None)
        hand.child.call(f"{__name__}:load", "\n".join(modules).encode())

    def submit(self, task: Batch) -> None:
        free = next((hand for hand in self._hands if not any(hand.tasks)), None)
        (free or self._start()).give(task, Done(task.number), self.store)

    def wait(self) -> Done:
        """The next task that is done. Raises ``OSError`` where the store cannot be written."""
        while True:
            hand, reply = self._replies.get()
            if isinstance(reply, (OSError, SitegenError)):
                raise reply
            if hand in self._hands:
                done = self._failed(hand, reply) if isinstance(reply, Failure) else self._went_on(hand, reply)
                if done is not None:
                    return done

    def close(self) -> None:
        self._kill()
        for hand in self._hands:
            hand.end()
        self._hands.clear()
        self._open.close()

    def _went_on(self, hand: _Hand, reply: Reply) -> Done | None:
        task = hand.tasks[0]
        if reply.made is not None and task is not None:
            step = from_bytes(reply.made, Done)
            remember(self.store, task, step)
            hand.sofar = replace(step, outputs=(*hand.sofar.outputs, *step.outputs))
            return None
        hand.tasks.popleft()
        if task is None:
            return None
        hand.used = True
        if reply.large:
            self._drop(hand)
        return hand.sofar

    def _failed(self, hand: _Hand, failure: Failure) -> Done | None:
        self._drop(hand)
        task = next(filter(None, hand.tasks), None)
        if task is None:
            return None
        if failure.may_go_better and (hand.used or hand.tasks[0] is None):
            self._start().give(task, hand.sofar, self.store)
            return None
        if failure.ended:
            return replace(hand.sofar, died=str(failure), remedy=failure.remedy)
        return replace(hand.sofar, defect=str(failure))

    def _start(self) -> _Hand:
        if not self._hands:
            self._open.enter_context(when_stopped(self._kill))
        hand = _Hand(Child(self.limits))
        self._hands.append(hand)
        hand.listen_to(self._replies)
        return hand

    def _drop(self, hand: _Hand) -> None:
        self._hands.remove(hand)
        hand.end()
        if not self._hands:
            self._open.close()

    def _kill(self) -> None:
        for hand in self._hands:
            hand.child.kill()


def load(modules: bytes) -> Iterator[bytes]:
    """In a process: load modules, one a line."""
    for module in modules.decode().splitlines():
        import_module(module)
    yield from ()


def run_errand(data: bytes) -> Iterator[bytes]:
    """In a process: what becomes of each step of a task."""
    errand = from_bytes(data, _Errand)
    place = (errand.folder, errand.fresh)
    store = _stores.setdefault(place, Store(Path(errand.folder), errand.fresh))
    for done in run_steps(errand.task, store):
        yield to_bytes(done)


_stores: dict[tuple[str, bool], Store] = {}
