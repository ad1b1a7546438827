"""Who runs a step makes no difference to what it gives; who dies or is overdue costs its own piece, which is named."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from sitegen.apart import Limits
from sitegen.building.driving import Code
from sitegen.building.engines import Batch, Engine
from sitegen.building.engines.in_process import InProcess
from sitegen.building.engines.workers import Workers
from sitegen.building.scheduling import InOnePlace, Plan, Scheduler, StepDefectError, StepDiedError
from sitegen.building.site import build_site
from sitegen.building.steps import table
from sitegen.building.steps.nouns import Outputs
from sitegen.building.steps.running import StepOrder
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


def count_for_ever(text: str) -> str:
    """A step that never ends, and listens to nobody meanwhile."""
    return f"{text}{sum(range(10**15))}"


def work(text: str) -> str:
    """A step that works for a second."""
    end = time.process_time() + 1
    while time.process_time() < end:
        pass
    return text


def tell_what_is_left(text: str) -> str:
    """A step that tells how long it may work."""
    return f"{signal.getitimer(signal.ITIMER_PROF)[0]}{text[:0]}"


_ran = 0


def die_if_not_the_first(text: str) -> str:
    """As native code dies of what it did before."""
    global _ran
    _ran += 1
    return die(text) if _ran > 1 else text


_kept: list[bytes] = []


def keep_much(text: str) -> str:
    """A step that does not give its memory back."""
    _kept.append(b"\x01" * 500_000_000)
    return f"{os.getpid()} {text[:0]}"


def tell_and_sleep(text: str) -> str:
    """A step that leaves its process's number in the folder named."""
    (Path(text) / str(os.getpid())).touch()
    time.sleep(600)
    return text


def divide(text: str) -> int:
    """A defect."""
    return len(text) // 0


def end_for_memory(text: str) -> str:
    """As native code ends where it gets no memory."""
    sys.stderr.write("terminate called after throwing an instance of 'std::bad_alloc'\n")
    os.abort()
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
    engine = Workers(store, 2, Limits(seconds=60, memory=10**9))
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
            yield [InOnePlace(calls), call("double", text, times=3), one(call("refuse", text))]
        assert (fault.value.line, str(fault.value.file)) == (3, "ab")
        return "went on"

    board.start("plan", plan())
    assert board.next_ended() == ("plan", "went on", None)
    assert sorted(runs) == ["double", "double", "refuse"]


@pytest.mark.parametrize(
    ("function", "kind", "told"),
    [
        ("die", StepDiedError, "broke down at the step 'die bass-line'"),
        ("take_all_memory", StepDiedError, "needs more than 1 GB of memory at the step 'take_all_memory bass-line'"),
        ("end_for_memory", StepDiedError, "needs more than 1 GB of memory"),
        ("divide", StepDefectError, "at the step 'divide bass-line'"),
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


@pytest.mark.parametrize("function", ["count_for_ever", "sleep"])
def test_a_step_that_is_overdue_is_ended(store: Store, function: str) -> None:
    """Whether it works on and on in native code, or waits for something that does not come."""
    engine = Workers(store, 1, Limits(seconds=0.4))
    text = store.put(b"ab")
    engine.submit(Batch(1, (StepOrder("key", HERE, function, {"text": text}),)))
    done = engine.wait()
    engine.close()
    assert (done.died, done.remedy) == (
        "took more than 0.4 seconds",
        "Split the work into movements, or allow more with --seconds.",
    )


def test_each_step_of_a_task_has_its_time(store: Store) -> None:
    engine = Workers(store, 1, Limits(seconds=60))
    text = store.put(b"ab")
    engine.submit(
        Batch(1, tuple(StepOrder(name, HERE, name, {"text": text}) for name in ("work", "tell_what_is_left")))
    )
    done = engine.wait()
    engine.close()
    assert float(store.get(done.outputs[1][""])) > 59.5, "the second that the first step worked is not counted"


def test_who_has_done_what_was_asked_is_waited_for_no_more(store: Store) -> None:
    engine = Workers(store, 1)
    engine.begin(["sitegen.building.steps.opening"])
    engine.submit(Batch(1, (StepOrder("key", HERE, "double", {"text": store.put(b"ab")}, {"times": 2}),)))
    assert not engine.wait().failed
    clocks = [thread for thread in threading.enumerate() if isinstance(thread, threading.Timer)]
    assert all(clock.finished.is_set() for clock in clocks)
    engine.close()


def test_the_step_that_died_is_named_and_those_before_it_are_kept(store: Store, workers: Workers) -> None:
    board = scheduler(workers, store, [])
    text = store.put(b"ab")

    def plan() -> Plan:
        yield [InOnePlace((call("double", text, times=2), call("die", text), call("double", text, times=3)))]

    board.start("plan", plan())
    error = board.next_ended()[2]
    assert str(error) == "broke down at the step 'die'"


def test_what_breaks_down_for_what_an_earlier_task_left_is_tried_in_a_new_process(store: Store) -> None:
    engine = Workers(store, 1)
    text = store.put(b"ab")
    for number in (1, 2, 3):
        engine.submit(Batch(number, (StepOrder(f"key {number}", HERE, "die_if_not_the_first", {"text": text}),)))
        assert not engine.wait().failed
    engine.close()


def test_a_process_that_holds_much_is_replaced(store: Store) -> None:
    engine = Workers(store, 1, Limits(memory=10**9))
    text, ran = store.put(b"ab"), []
    for number in (1, 2):
        engine.submit(Batch(number, (StepOrder(f"key {number}", HERE, "keep_much", {"text": text}),)))
        ran.append(store.get(engine.wait().outputs[0][""]))
    engine.close()
    assert ran[0] != ran[1]


def test_workers_end_with_whoever_started_them(tmp_path: Path) -> None:
    """Also where that is killed, and can end nobody."""
    program = (
        "import sys, pathlib; from sitegen.building.store import Store; "
        "from sitegen.building.engines import Batch; from sitegen.building.engines.workers import Workers; "
        "from sitegen.building.steps.running import StepOrder; store = Store(pathlib.Path(sys.argv[1])); "
        "engine = Workers(store, 2); text = store.put(str(sys.argv[1]).encode()); "
        f"orders = [StepOrder(str(n), {HERE!r}, 'tell_and_sleep', {{'text': text}}) for n in (1, 2)]; "
        "[engine.submit(Batch(n, (order,))) for n, order in enumerate(orders, 1)]; "
        "engine.wait()"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    parent = subprocess.Popen([sys.executable, "-c", program, str(tmp_path)], env=environment)
    try:
        while len(told := [int(file.name) for file in tmp_path.glob("[0-9]*")]) < 2:
            assert parent.poll() is None
            time.sleep(0.02)
    finally:
        parent.kill()
        parent.wait()
    end = time.monotonic() + 60
    while any(map(is_running, told)):
        assert time.monotonic() < end
        time.sleep(0.02)


def is_running(process: int) -> bool:
    """Whether a process works: one that is gone, or of which only the exit code is left, does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def perform_and_die(performance: bytes, score: bytes, notes: bytes, tempo: float) -> Outputs:
    """A performance in which native code dies."""
    del performance, score, tempo, notes
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
