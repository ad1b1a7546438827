"""Building on a cluster: the same site, also where a worker is lost on the way."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")

from distributed import Client, LocalCluster

from sitegen.building.engines import Batch
from sitegen.building.engines.cluster import join_cluster
from sitegen.building.progress import Progress
from sitegen.building.site import build_site
from sitegen.building.steps.running import StepOrder
from sitegen.building.store import Store
from sitegen.cli import main
from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content
from tests.interrupting import Desk


@pytest.fixture
def cluster() -> Iterator[LocalCluster]:
    """Two workers, each a process with one thread."""
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as made:
        yield made


def test_a_cluster_that_loses_a_worker_builds_the_same_site(
    tmp_path: Path, build: Build, cluster: LocalCluster
) -> None:
    write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    lost: list[int] = []

    def lose_a_worker(progress: Progress) -> None:
        if not lost and "playing" in progress.now:
            with Client(cluster) as client:
                lost.extend(client.run(os.getpid).values())
            os.kill(lost[0], signal.SIGKILL)

    address = cluster.scheduler_address
    outcome = build_site(
        tmp_path / "content", tmp_path / "other", Store(tmp_path / "shared"), 1, lose_a_worker, cluster=address
    )
    assert lost
    assert outcome.built == ("march", "waltz")
    assert tree_of(tmp_path / "other") == tree_of(tmp_path / "site")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_build_on_a_cluster_is_stopped(tmp_path: Path, cluster: LocalCluster, number: signal.Signals) -> None:
    desk = Desk(tmp_path)
    write_content(desk.content, march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    command = ["build", desk.content, "-o", desk.site, "--cluster", cluster.scheduler_address]
    kept = desk.root / "store" / "results"
    stopped = desk.stop(command, number, lambda _: any(place.is_file() for place in kept.rglob("*")))
    assert not stopped.ended
    assert stopped.faults(number) == []


def test_what_breaks_a_process_of_a_worker_down_costs_its_task_and_not_the_worker(
    tmp_path: Path, cluster: LocalCluster
) -> None:
    engine = join_cluster(cluster.scheduler_address, Store(tmp_path / "shared"))
    text = engine.store.put(b"ab")
    steps = "tests.building.test_engines"
    engine.submit(Batch(1, (StepOrder("bad", steps, "die", {"text": text}),)))
    bad = engine.wait()
    engine.submit(Batch(2, (StepOrder("good", steps, "double", {"text": text}, {"times": 2}),)))
    good = engine.wait()
    engine.close()
    assert bad.died == "broke down"
    assert not good.failed


def test_a_cluster_that_does_not_answer_is_a_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sitegen.building.engines.cluster._WAITED", "1s")
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "store"))
    write_content(tmp_path / "content", march=musicxml())
    arguments = ["build", str(tmp_path / "content"), "-o", str(tmp_path / "site"), "--cluster", "tcp://127.0.0.1:9"]
    told = CliRunner().invoke(main, arguments)
    assert told.exit_code == 1
    assert told.stderr.startswith("no cluster answers at 'tcp://127.0.0.1:9'. Start one with 'dask scheduler'")
    assert not (tmp_path / "site").exists()
