"""A preview that phones may see: only where it is asked for, under one address, and without what is the teacher's."""

from __future__ import annotations

import http.client
import json
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from sitegen.building.store import Store
from sitegen.errors import ContentError
from sitegen.previewing import PreviewFolder, PreviewServer, serve_on
from sitegen.previewing import network as network_module
from sitegen.previewing import serving as serving_module
from sitegen.publishing.qr import qr_signs
from tests.building.studio import musicxml, write_content
from tests.building.test_assignments import WEEK, assign, place, studio

NAME = "192.0.2.77"
STATE = {"version": 3, "findings": [{"severity": "error", "text": "/home/teacher/content/march/piece.md:3: ..."}]}


@pytest.fixture(params=[None, NAME])
def server(tmp_path: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[PreviewServer]:
    (tmp_path / "index.html").write_text("<body>here</body>")
    monkeypatch.setattr(serving_module, "EVERYWHERE", "127.0.0.1")  # a test opens nothing to anybody
    made = serve_on(tmp_path, lambda: STATE, 0, request.param)
    threading.Thread(target=made.serve_forever, daemon=True).start()
    yield made
    made.shutdown()
    made.server_close()


def ask(server: PreviewServer, path: str, host: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
    connection.request("GET", path, headers={"Host": f"{host}:{server.port}"})
    answer = connection.getresponse()
    data = answer.read()
    connection.close()
    return answer.status, data


def test_only_the_address_that_was_told_is_answered(server: PreviewServer) -> None:
    assert ask(server, "/", "localhost")[0] == 200
    assert ask(server, "/", NAME)[0] == (200 if NAME in server.names else 421)
    assert ask(server, "/", "evil.example")[0] == 421


def test_what_is_at_fault_is_told_to_this_machine_alone(server: PreviewServer, monkeypatch: pytest.MonkeyPatch) -> None:
    assert json.loads(ask(server, "/-preview/state", "localhost")[1]) == STATE
    monkeypatch.setattr(serving_module, "HERE", "127.0.0.9")  # as if the one who asks were another machine
    assert json.loads(ask(server, "/-preview/state", "localhost")[1]) == {**STATE, "findings": []}


def test_without_the_wish_it_listens_to_this_machine_alone(tmp_path: Path) -> None:
    made = serve_on(tmp_path, lambda: STATE, 0)
    assert made.server_address[0] == "127.0.0.1"
    made.server_close()


def test_a_machine_without_a_network_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class NoWay:
        def __enter__(self) -> NoWay:
            return self

        def __exit__(self, *_: object) -> None: ...

        def connect(self, _: object) -> None:
            raise OSError("Network is unreachable")

    monkeypatch.setattr(network_module.socket, "socket", lambda *_: NoWay())
    with pytest.raises(ContentError, match="no network"):
        network_module.address_in_network()


def test_the_code_is_as_wide_as_a_terminal_allows() -> None:
    lines = qr_signs("http://192.168.178.123:8010/").splitlines()
    assert max(map(len, lines)) <= 40
    assert len(lines) >= 14


def test_what_is_set_is_shown_and_follows_what_is_written(tmp_path: Path) -> None:
    content = studio(tmp_path)
    assign(content, "blue-3", *WEEK, "set: [{piece: march, stage: bass line}]")
    shown = PreviewFolder(content, tmp_path / "site", Store(tmp_path / "cache"))
    shown.refresh()
    page = place(tmp_path, "blue-3") / "index.html"
    assert "Sing the bass." in page.read_text()
    assert (tmp_path / "site" / shown.week).is_file()
    version = shown.version
    assign(content, "blue-3", *WEEK, "set: [{piece: march, stage: bass line}]", word="Sing the tune.")
    assert shown.refresh() == (), "no piece is made again"
    assert "Sing the tune." in page.read_text()
    assert shown.version > version
    assign(content, "blue-3", *WEEK, "set: [{piece: marhc}]")
    shown.refresh()
    assert "Sing the tune." in page.read_text(), "its last good page stays"
    assert "there is no piece 'marhc'" in str(shown.state()["findings"])
    (content / "assignments" / "blue-3.md").unlink()
    shown.refresh()
    assert not page.exists()


def test_a_studio_without_assignments_has_no_unlisted_page(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    shown = PreviewFolder(content, tmp_path / "site", Store(tmp_path / "cache"))
    shown.refresh()
    assert not (tmp_path / "site" / "for").exists()
    assert shown.week == ""
