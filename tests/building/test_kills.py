"""Killed at any step, a publication leaves the old site or the new one, whole; the next one mends what is left."""

from __future__ import annotations

import os
import signal
from collections.abc import Mapping
from pathlib import Path

import pytest

from sitegen.building.publication import exchange, hold_output, trees
from tests.building.killing import faults_of, kill_at, lies_in

OLD = {"index.html": b"old", "pieces/march/index.html": b"march", "pieces/march/a.svg": b"a", "about": b"is a file"}
NEW = {"index.html": b"new", "pieces/waltz/index.html": b"waltz", "pieces/waltz/a.svg": b"a", "about/index.html": b""}
FOREIGN = {
    "CNAME": b"piano.example",
    ".git/HEAD": b"ref",
    ".git/objects/ab/cd": b"blob",
    "pieces/march/mine.txt": b"own words",
    "pieces/index.html": b"a page of mine",
    "link": b"CNAME",
}


def publish(root: Path, site: Mapping[str, bytes]) -> None:
    with hold_output(root / "site", root / "content") as output:
        output.publish(site)


def put_foreign(site: Path) -> None:
    for path, data in FOREIGN.items():
        (site / path).parent.mkdir(parents=True, exist_ok=True)
        if path == "link":
            (site / path).symlink_to(data.decode())
        else:
            (site / path).write_bytes(data)


@pytest.fixture(params=["exchange", "two renames", "copies"])
def system(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """What the system can do: exchange folders; only rename them; neither link files."""
    if request.param != "exchange":
        monkeypatch.setattr(exchange, "_renameat2", lambda: None)
    if request.param == "copies":
        monkeypatch.setattr(os, "link", no_links)
    name: str = request.param
    return name


def no_links(*_: object, **__: object) -> None:
    raise OSError(95, "Operation not supported")


def test_first_site_killed_at_every_step_is_whole_or_not_there(tmp_path: Path) -> None:
    for number in range(10_000):
        root = tmp_path / str(number)
        killed = kill_at(number, lambda root=root: publish(root, NEW))  # type: ignore[misc]
        assert faults_of(root / "site", [NEW] if not killed else [{}, NEW], {}) == []
        publish(root, NEW)
        assert faults_of(root / "site", [NEW], {}) == []
        assert os.listdir(root) == ["site"], "nothing is left behind"
        if not killed:
            return


def test_site_killed_at_every_step_is_the_old_or_the_new_one_with_what_is_somebody_elses(
    tmp_path: Path, system: str
) -> None:
    found = set()
    for number in range(10_000):
        root = tmp_path / str(number)
        publish(root, OLD)
        put_foreign(root / "site")
        killed = kill_at(number, lambda root=root: publish(root, NEW))  # type: ignore[misc]
        if system != "exchange" and not (root / "site").exists():
            found.add("none")  # between two renames: what only an exchange can do
        else:
            assert faults_of(root / "site", [OLD, NEW], FOREIGN) == [], number
            found.add("new" if lies_in(root / "site")["index.html"] == b"new" else "old")
        publish(root, OLD if number % 2 else NEW)
        assert faults_of(root / "site", [OLD if number % 2 else NEW], FOREIGN) == [], number
        assert os.listdir(root) == ["site"], "nothing is left behind"
        if not killed:
            break
    assert {"old", "new"} <= found
    assert ("none" in found) == (system != "exchange")


class OneHand:
    """Runs what is to be run by several threads in this one, so that it is always this one that is stopped."""

    def __init__(self, hands: int) -> None:
        del hands

    def __enter__(self) -> OneHand:
        return self

    def __exit__(self, *_: object) -> None: ...

    map = staticmethod(map)


@pytest.mark.parametrize("over", [False, True])
def test_site_stopped_at_every_step_is_put_right_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, over: bool
) -> None:
    """Stopped by SIGTERM, a build leaves the old site or the new one and nothing besides, without a next build."""
    monkeypatch.setattr(trees, "ThreadPoolExecutor", OneHand)
    for number in range(10_000):
        root = tmp_path / str(number)
        root.mkdir()
        if over:
            publish(root, OLD)
            put_foreign(root / "site")
        stopped = kill_at(number, lambda root=root: publish(root, NEW), by=signal.SIGTERM)  # type: ignore[misc]
        assert faults_of(root / "site", [OLD if over else {}, NEW], FOREIGN if over else {}) == [], number
        left = sorted(set(os.listdir(root)) - {"site"})
        assert left == [], number
        if not stopped:
            return


def test_site_moved_away_by_a_killed_build_is_put_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system cannot exchange folders, and a build is killed between its two renames."""
    monkeypatch.setattr(exchange, "_renameat2", lambda: None)
    for number in range(10_000):
        root = tmp_path / str(number)
        publish(root, OLD)
        put_foreign(root / "site")
        assert kill_at(number, lambda root=root: publish(root, NEW))  # type: ignore[misc]
        if not (root / "site").exists():
            with hold_output(root / "site", root / "content"):
                assert faults_of(root / "site", [OLD], FOREIGN) == []
            return


def test_second_kill_while_the_first_is_mended_loses_nothing_either(tmp_path: Path) -> None:
    """Killed while the old site is being removed, then at every step of mending that."""
    after_the_exchange = next(
        number for number in range(1000) if _is_new_when_killed(tmp_path / f"try {number}", number)
    )
    for number in range(10_000):
        root = tmp_path / str(number)
        assert _is_new_when_killed(root, after_the_exchange + 2)
        killed = kill_at(number, lambda root=root: publish(root, OLD))  # type: ignore[misc]
        assert faults_of(root / "site", [OLD, NEW], FOREIGN) == [], number
        publish(root, OLD)
        assert faults_of(root / "site", [OLD], FOREIGN) == [], number
        assert os.listdir(root) == ["site"]
        if not killed:
            return


def _is_new_when_killed(root: Path, number: int) -> bool:
    publish(root, OLD)
    put_foreign(root / "site")
    kill_at(number, lambda: publish(root, NEW))
    return lies_in(root / "site")["index.html"] == b"new"
