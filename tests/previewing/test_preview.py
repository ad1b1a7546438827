"""The preview: what changes is seen, what is at fault is told, and the last good page stays."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import struct
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from sitegen.building.store import Store
from sitegen.previewing import PreviewFolder, PreviewServer, address_of, serve_on
from tests.building.studio import musicxml, tree_of, write_content, write_piece

PATIENCE = 120.0  # seconds, on a machine that is busy with other tests


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))


@pytest.fixture
def shown(tmp_path: Path, content: Path) -> PreviewFolder:
    folder = PreviewFolder(content, tmp_path / "shown", Store(tmp_path / "cache"))
    folder.refresh()
    return folder


@pytest.fixture
def server(shown: PreviewFolder) -> Iterator[PreviewServer]:
    import threading

    made = serve_on(shown.folder, shown.state, 0)
    threading.Thread(target=made.serve_forever, daemon=True).start()
    yield made
    made.shutdown()
    made.server_close()


def page(shown: PreviewFolder, slug: str = "march") -> str:
    return (shown.folder / "pieces" / slug / "index.html").read_text(encoding="utf-8")


def fetch(address: str) -> bytes:
    with urllib.request.urlopen(address, timeout=10) as answer:
        data: bytes = answer.read()
    return data


def test_only_the_piece_that_was_saved_is_made_again(shown: PreviewFolder, content: Path) -> None:
    version = shown.version
    assert shown.refresh() == ()
    write_piece(content, "march", musicxml(), "Sing the bass.")
    assert shown.refresh() == ("march",)
    assert "Sing the bass." in page(shown)
    assert shown.version > version


def test_words_of_the_studio_s_own_are_shown_when_they_are_saved(shown: PreviewFolder, content: Path) -> None:
    (content / "words").mkdir()
    (content / "words" / "en.json").write_text('{"gallery.search": "Look for music", "player.paly": "Go"}')
    assert shown.refresh() == ("march", "waltz")
    assert "Look for music" in (shown.folder / "index.html").read_text(encoding="utf-8")
    (told,) = shown.findings
    assert "en.json:1: no sentence is called 'player.paly'. Perhaps 'player.play'." in str(told)


def test_a_fault_is_told_and_the_last_good_page_stays(shown: PreviewFolder, content: Path) -> None:
    write_piece(content, "march", musicxml(), "[x](bars:8-9)")
    shown.refresh()
    (fault,) = [f["text"] for f in shown.state()["findings"] if f["severity"] == "error"]
    assert fault.startswith(f"{content / 'march' / 'piece.md'}:7: the score has no bar 8")
    assert "Listen to the bass." in page(shown)
    write_piece(content, "march", musicxml(), "Mended.")
    shown.refresh()
    assert shown.state()["findings"] == []
    assert "Mended." in page(shown)


def test_what_cannot_be_read_at_all_keeps_its_last_good_page_too(shown: PreviewFolder, content: Path) -> None:
    good, file = page(shown), content / "march" / "piece.md"
    whole = file.read_text(encoding="utf-8")
    file.write_text(whole.replace("title: March", "title: March: the first"), encoding="utf-8")
    shown.refresh()
    assert [f.line for f in shown.findings] == [2]
    assert page(shown) == good
    file.rename(content / "march" / "Piece.md")
    shown.refresh()
    assert "Name it piece.md" in str(shown.findings[0])
    assert page(shown) == good
    (content / "march" / "Piece.md").rename(file)
    file.write_text(whole.replace("title: March", "title: A march"), encoding="utf-8")
    assert shown.refresh() == ("march",)
    assert not shown.findings
    assert "A march" in page(shown)


def test_a_piece_that_is_taken_out_and_a_new_one_are_seen_in_the_gallery(shown: PreviewFolder, content: Path) -> None:
    for file in (content / "waltz").iterdir():
        file.unlink()
    (content / "waltz").rmdir()
    write_piece(content, "galop", musicxml())
    shown.refresh()
    gallery = (shown.folder / "index.html").read_text(encoding="utf-8")
    assert "Galop" in gallery
    assert "Waltz" not in gallery


def test_every_page_follows_and_nothing_is_kept_by_a_worker(server: PreviewServer) -> None:
    address = address_of(server)
    for path in ("", "pieces/march/", "pieces/march/stages/bass-line/index.html"):
        assert b"/-preview/follow.js" in fetch(address + path)
    assert json.loads(fetch(address + "-preview/state"))["findings"] == []
    with pytest.raises(urllib.error.HTTPError, match="404"):
        fetch(address + "worker.js")


def test_it_is_served_to_this_machine_alone(server: PreviewServer) -> None:
    assert server.server_address[0] == "127.0.0.1"
    assert address_of(server).startswith("http://127.0.0.1:")


@pytest.mark.parametrize(("host", "answer"), [("localhost", 200), ("[::1]:80", 200), ("evil.example", 421), ("[", 421)])
def test_it_answers_by_no_name_but_this_machine_s(server: PreviewServer, host: str, answer: int) -> None:
    asked = http.client.HTTPConnection("127.0.0.1", server.port)
    asked.request("GET", "/index.html", headers={"Host": host})
    assert asked.getresponse().status == answer
    asked.close()


def test_whatever_is_asked_for_nothing_is_told(server: PreviewServer, capfd: pytest.CaptureFixture[str]) -> None:
    """A browser that has gone on to another page, a name that no file can have, and no request at all."""
    for path in ("/%00", "/pieces/march/%00.html"):
        asked = http.client.HTTPConnection("127.0.0.1", server.port)
        asked.request("GET", path)
        assert asked.getresponse().status == 404
        asked.close()
    for told in (b"GET /index.html HTTP/1.1\r\nHost: localhost\r\n\r\n", b"\xff\x00\r\n\r\n"):
        for _ in range(5):
            with socket.create_connection(("127.0.0.1", server.port)) as line:
                line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))  # closed at once
                line.sendall(told)
    try:
        raise BrokenPipeError
    except BrokenPipeError:  # as it is told where an answer cannot be sent any more
        server.handle_error(None, None)
    assert json.loads(fetch(address_of(server) + "-preview/state"))["findings"] == []
    assert capfd.readouterr().err == ""


def test_a_port_that_is_taken_is_no_fault(server: PreviewServer, shown: PreviewFolder) -> None:
    other = serve_on(shown.folder, shown.state, server.port)
    assert other.port != server.port
    other.server_close()


def test_the_command_serves_what_is_saved_and_leaves_nothing_behind(tmp_path: Path, content: Path) -> None:
    environment = os.environ | {"SITEGEN_CACHE": str(tmp_path / "kept"), "TMPDIR": str(tmp_path / "temporary")}
    (tmp_path / "temporary").mkdir()
    before = tree_of(content)
    command = [sys.executable, "-m", "sitegen", "preview", str(content), "--port", "0"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment)
    assert process.stderr is not None
    try:
        opened = process.stderr.readline()
        assert opened.startswith("Open http://127.0.0.1:")
        address = opened.split()[1]
        _wait_for(lambda: b"Listen to the bass" in fetch(f"{address}pieces/waltz/"))
        assert tree_of(content) == before
        write_piece(content, "waltz", musicxml("E5h.", "C3h.", "3/4"), "Turn.")
        _wait_for(lambda: b"Turn." in fetch(f"{address}pieces/waltz/"))
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=30) == 143
    finally:
        process.kill()
        process.stderr.close()
    assert list((tmp_path / "temporary").iterdir()) == []


def _wait_for(seen: object) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        try:
            if seen():  # type: ignore[operator]
                return
        except urllib.error.URLError:
            pass
        time.sleep(0.1)
    raise AssertionError("not seen")
