"""Who runs a step makes no difference to what it gives; who dies or is overdue costs its own piece, which is named."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from sitegen.building.driving import Code
from sitegen.building.engines import Engine, Task
from sitegen.building.engines.in_process import InProcess
from sitegen.building.engines.workers import Workers
from sitegen.building.scheduling import Plan, Scheduler, StepDefectError, StepDiedError, Together
from sitegen.building.site import build_site
from sitegen.building.steps import table
from sitegen.building.steps.nouns import Outputs
from sitegen.building.steps.running import Order
from sitegen.building.steps.table import Call, Step
from sitegen.building.store import Store
from sitegen.errors import ScoreError
from tests.building.studio import musicxml, tree_of, write_content

HERE = __name__


def double(text: str, times: int) -> Outputs:
    """A step of two values."""
    return Outputs(text=text * times, by=str(os.getpid()))


def die(text: str) -> str:
    """As native code dies."""
    os.kill(os.getpid(), signal.SIGKILL)
    return text


def sleep(text: str) -> str:
    """A step that is overdue."""
    time.sleep(600)
    return text


def take_all_memory(text: str) -> str:
    """A step that holds more than a worker may."""
    return text * 10**10


def refuse(text: str) -> str:
    """A step with a fault to tell."""
    raise ScoreError("is no score", "Send another.", text, line=3)


def call(function: str, text: str, part: str = "", weight: int = 0, **said: int) -> Call:
    """A call of one of these steps."""
    return Call(Step(function, HERE, function), {"text": text}, said, part, weight)


def one(wanted: Call) -> Plan:
    """A plan of one call."""
    (made,) = yield [wanted]
    return made


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "store")


@pytest.fixture
def workers(store: Store) -> Iterator[Workers]:
    engine = Workers(store, 2, patience=300, memory=1 << 30)
    yield engine
    engine.close()


def scheduler(engine: Engine, store: Store, asked: list[str]) -> Scheduler:
    return Scheduler(engine, store, lambda step: "code", lambda name, run: asked.append(run.name))


def test_a_step_runs_once_whoever_asks_for_it(store: Store) -> None:
    runs: list[str] = []
    board = scheduler(InProcess(store), store, runs)
    text = store.put(b"ab")
    for name in ("one", "two"):
        board.start(name, one(call("double", text, times=2)))
    results = [board.next_ended()[1]["text"] for _ in range(2)]
    assert [store.get(digest) for digest in results] == [b"abab"] * 2
    assert runs == ["double"]


def test_the_biggest_goes_first(store: Store) -> None:
    runs: list[str] = []
    board = scheduler(InProcess(store), store, runs)
    text = store.put(b"ab")
    for size in (1, 3, 2):
        board.start(str(size), one(call("double", text, f"{size}", size, times=size)))
    for _ in range(3):
        board.next_ended()
    assert runs == ["double 3", "double 2", "double 1"]


def test_a_failure_is_told_when_all_of_its_batch_is_settled(store: Store) -> None:
    runs: list[str] = []
    board = scheduler(InProcess(store), store, runs)
    text = store.put(b"ab")

    def plan() -> Plan:
        calls = (call("refuse", text), call("double", text, times=2))
        with pytest.raises(ScoreError) as fault:
            yield [Together(calls), call("double", text, times=3), one(call("refuse", text))]
        assert (fault.value.line, str(fault.value.file)) == (3, "ab")
        return "went on"

    board.start("plan", plan())
    assert board.next_ended() == ("plan", "went on", None)
    assert sorted(runs) == ["double", "double", "refuse"]


@pytest.mark.parametrize(
    ("function", "kind", "told"),
    [
        ("die", StepDiedError, "broke down at the step 'die bass-line'"),
        ("take_all_memory", StepDefectError, "MemoryError"),
        ("refuse", ScoreError, "is no score"),
    ],
)
def test_what_goes_wrong_costs_one_task_and_the_others_are_run(
    store: Store, workers: Workers, function: str, kind: type[Exception], told: str
) -> None:
    board = scheduler(workers, store, [])
    text = store.put(b"ab")
    board.start("bad", one(call(function, text, "bass-line", 9)))
    for times in range(6):
        board.start(f"good {times}", one(call("double", text, times=times)))
    ended = {name: (made, error) for name, made, error in (board.next_ended() for _ in range(7))}
    error = ended.pop("bad")[1]
    assert isinstance(error, kind)
    assert told in str(error)
    assert [failed for _, failed in ended.values()] == [None] * 6
    assert str(os.getpid()).encode() not in {store.get(made["by"]) for made, _ in ended.values()}


def test_a_step_that_is_overdue_is_ended(store: Store) -> None:
    engine = Workers(store, 1, patience=1)
    text = store.put(b"ab")
    engine.submit(Task(1, (Order("key", HERE, "sleep", {"text": text}),)))
    assert engine.wait().died == "took more than 1 seconds"
    engine.close()


def perform_and_die(performance: bytes, score: bytes, notes: bytes, tempo: float) -> Outputs:
    """A performance in which native code dies."""
    del performance, score, notes, tempo
    os.kill(os.getpid(), signal.SIGKILL)
    return Outputs()


def test_one_piece_alone_is_made_apart_and_its_death_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, store: Store
) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    monkeypatch.setattr(table, "PERFORMANCE", Step("performance", HERE, "perform_and_die"))
    monkeypatch.setattr(Code, "of", lambda self, step: step.name)
    outcome = build_site(content, tmp_path / "site", store, 1, lambda _: None)
    (fault,) = outcome.errors
    assert str(fault).startswith(
        f"{content / 'march' / 'score.musicxml'}: the program that reads and engraves it broke"
    )
    assert "at the step 'performance " in str(fault)


def test_any_number_of_workers_in_any_place_gives_the_same_bytes(tmp_path: Path) -> None:
    right = "C5h. D5q~ | D5q E5q3 F5 G5 F#5q | F5g E5h C4+E4+G4h!arp"
    given = {"march": musicxml(right, "C3w C3+G3w C3w"), "waltz": musicxml("E5h.", "C3h.", "3/4")}
    command = "from sitegen.cli import main; main()"
    trees = []
    for place, workers, environment in (
        ("one", "2", {"PYTHONHASHSEED": "1", "LC_ALL": "C", "TZ": "Asia/Tokyo"}),
        ("another place", "0", {"PYTHONHASHSEED": "2", "LC_ALL": "C.UTF-8", "TZ": "UTC"}),
    ):
        content, site = write_content(tmp_path / place / "content", **given), tmp_path / place / "site"
        arguments = [sys.executable, "-c", command, "build", str(content), "-o", str(site), "-j", workers]
        more = {"SITEGEN_CACHE": str(tmp_path / place / "store"), "PYTHONPATH": os.pathsep.join(sys.path)}
        subprocess.run(arguments, env=os.environ | environment | more, check=True, capture_output=True)
        trees.append(tree_of(site))
    assert trees[0].keys() == trees[1].keys()
    assert [path for path in trees[0] if trees[0][path] != trees[1][path]] == []
