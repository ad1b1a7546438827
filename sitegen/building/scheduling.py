"""Plans driven to their end: what they ask for is looked up, or run by an engine, the biggest first.

A plan is a generator. It yields a batch of what it needs next: calls, calls that are to be run together, or other
plans; it is sent a list of what they gave, in order: for a call the digests by name. Where one fails, its failure is
raised in the plan when the whole batch is settled, so that it makes no difference which part failed first.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sitegen.building.engines import Batch, Done, Engine
from sitegen.building.steps.faults import error_of
from sitegen.building.steps.running import StepOrder
from sitegen.building.steps.table import Call, Step
from sitegen.building.store import Damaged, Store

Plan = Generator[Sequence[Any], list[Any], Any]


class StepDiedError(Exception):
    """A step ended its process, or took longer or more memory than it may; the message says which, ``remedy`` what can
    be done."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what)
        self.remedy = remedy


class StepDefectError(Exception):
    """A ``step`` failed in a way that is the program's own fault."""

    def __init__(self, what: str, step: str) -> None:
        super().__init__(what)
        self.step = step


@dataclass(frozen=True, slots=True)
class InOnePlace:
    """Calls that are run one after the other in one place, where what one leaves is of use to the next."""

    calls: tuple[Call, ...]


@dataclass(slots=True)
class _Running:
    """A plan on its way. ``parent`` is told the result at ``place`` of its batch."""

    plan: Plan
    name: str
    parent: _Running | None = None
    place: int = 0
    results: list[Any] = field(default_factory=list)
    failures: dict[int, Exception] = field(default_factory=dict)
    missing: int = 0


@dataclass(slots=True)
class _Waiting:
    """A task that waits or runs, and who waits for what it makes: (plan, place in its batch, place in a bundle)."""

    task: Batch
    calls: tuple[Call, ...]
    keys: tuple[str, ...]
    asked_by: list[list[tuple[_Running, int, int]]]


@dataclass(slots=True)
class Scheduler:
    """Drives plans over an ``engine``. ``code_of`` gives the digest of a step's code; ``tell_run`` is called with the
    name of the plan and the call before a step is run, ``tell_asked`` for each call, run or not."""

    engine: Engine
    store: Store
    code_of: Callable[[Step], str]
    tell_run: Callable[[str, Call], None] = lambda name, call: None
    tell_asked: Callable[[str, Call], None] = lambda name, call: None
    _heap: list[tuple[int, int]] = field(default_factory=list)
    _tasks: dict[int, _Waiting] = field(default_factory=dict)
    _by_key: dict[str, tuple[int, int]] = field(default_factory=dict)
    _number: int = 0
    _under_way: int = 0
    _ended: list[tuple[str, Any, Exception | None]] = field(default_factory=list)

    def start(self, name: str, plan: Plan) -> None:
        """Begin a plan; ``name`` is what it makes."""
        self._go_on(_Running(plan, name), None, None)

    def next_ended(self) -> tuple[str, Any, Exception | None]:
        """The next plan that ended: its name, and what it returned or raised. Raises ``IndexError`` where none runs."""
        while not self._ended:
            while self._heap and self._under_way < self.engine.places:
                waiting = self._tasks[heapq.heappop(self._heap)[1]]
                for call in waiting.calls:
                    self.tell_run(waiting.asked_by[0][0][0].name if waiting.asked_by[0] else "", call)
                self._under_way += 1
                self.engine.submit(waiting.task)
            if not self._under_way:
                break
            done = self.engine.wait()
            self._under_way -= 1
            self._settle(done)
        return self._ended.pop(0)

    def _go_on(self, running: _Running, results: list[Any] | None, failure: Exception | None) -> None:
        try:
            if failure is not None:
                batch = running.plan.throw(failure)
            else:
                batch = running.plan.send(results) if results is not None else next(running.plan)
        except StopIteration as end:
            self._end(running, end.value, None)
            return
        except Exception as error:
            self._end(running, None, error)
            return
        running.results, running.failures, running.missing = [None] * len(batch), {}, 1
        for place, item in enumerate(batch):
            running.missing += 1
            if isinstance(item, Call):
                self._ask(running, place, (item,), single=True)
            elif isinstance(item, InOnePlace):
                running.results[place] = [None] * len(item.calls)
                running.missing += len(item.calls) - 1
                self._ask(running, place, item.calls, single=False)
            else:
                self._go_on(_Running(item, running.name, running, place), None, None)
        self._arrived(running)

    def _end(self, running: _Running, value: Any, error: Exception | None) -> None:
        parent = running.parent
        if parent is None:
            self._ended.append((running.name, value, error))
            return
        if error is None:
            parent.results[running.place] = value
        else:
            parent.failures[running.place] = error
        self._arrived(parent)

    def _arrived(self, running: _Running) -> None:
        running.missing -= 1
        if running.missing == 0:
            failed = sorted(running.failures)
            self._go_on(running, running.results, running.failures[failed[0]] if failed else None)

    def _ask(self, running: _Running, place: int, calls: tuple[Call, ...], single: bool) -> None:
        todo: list[tuple[int, Call, str]] = []
        for inner, call in enumerate(calls):
            self.tell_asked(running.name, call)
            key = call.key(self.code_of(call.step))
            at = -1 if single else inner
            if key in self._by_key:
                number, index = self._by_key[key]
                self._tasks[number].asked_by[index].append((running, place, at))
            elif (known := self.store.result(key)) is not None:
                self._give(running, place, at, known)
            else:
                todo.append((at, call, key))
        if not todo:
            return
        self._number += 1
        orders = tuple(StepOrder(k, c.step.module, c.step.function, dict(c.inputs), dict(c.said)) for _, c, k in todo)
        task = Batch(self._number, orders, running.name)
        asked_by = [[(running, place, at)] for at, _, _ in todo]
        self._tasks[self._number] = _Waiting(task, tuple(c for _, c, _ in todo), tuple(k for *_, k in todo), asked_by)
        for index, (_, _, key) in enumerate(todo):
            self._by_key[key] = (self._number, index)
        heapq.heappush(self._heap, (-sum(c.weight for _, c, _ in todo), self._number))

    def _give(self, running: _Running, place: int, at: int, outputs: dict[str, str]) -> None:
        if at < 0:
            running.results[place] = outputs
        else:
            running.results[place][at] = outputs
        self._arrived(running)

    def _settle(self, done: Done) -> None:
        waiting = self._tasks.pop(done.number)
        for key in waiting.keys:
            del self._by_key[key]
        for index, askers in enumerate(waiting.asked_by):
            for running, place, at in askers:
                if index < len(done.outputs):
                    self._give(running, place, at, done.outputs[index])
                else:
                    running.failures.setdefault(place, _failure(done, waiting.calls[len(done.outputs)]))
                    self._arrived(running)


def _failure(done: Done, call: Call) -> Exception:
    if done.faults:
        return error_of(done.faults)
    if done.damaged:
        return Damaged(done.damaged)
    if done.died:
        return StepDiedError(f"{done.died} at the step '{call.name}'", done.remedy)
    return StepDefectError(f"{done.defect}, at the step '{call.name}'", call.step.name)
