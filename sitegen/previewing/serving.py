"""Serving a preview to this machine, and to its network only where that is asked for, with a script in each page that
follows what changes."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from sitegen.errors import ContentError

HERE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
_NAMES_OF_HERE = frozenset({HERE, "localhost", "::1"})
_FOLLOW = Path(__file__).with_name("follow.js")
_OWN = "/-preview/"  # no piece and no page of a site has such an address
_TAG = f'<script type="module" src="{_OWN}follow.js"></script>'.encode()


class PreviewServer(ThreadingHTTPServer):
    """Serves ``folder`` on ``host`` and ``port`` (0 for any that is free). ``state`` is asked for by the pages: its
    ``version`` and its ``findings``, a line each; what is at fault is told to this machine alone. ``name`` is the
    name or the address by which other machines call this one, if any may.

    Raises ``OSError`` for a port that is taken.
    """

    daemon_threads = True

    def __init__(
        self, folder: Path, state: Callable[[], dict[str, Any]], host: str = HERE, port: int = 0, name: str = ""
    ) -> None:
        self.state = state
        self.names = _NAMES_OF_HERE | ({name} if name else frozenset())
        super().__init__((host, port), partial(_Handler, directory=str(folder)))

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that is no longer there when it is answered (it went on to another page) is no matter."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)

    @property
    def port(self) -> int:
        """The port that it listens on."""
        return int(self.server_address[1])


class _Handler(SimpleHTTPRequestHandler):
    server: PreviewServer

    def parse_request(self) -> bool:
        """Read the request. One for another name than this machine's gets no page: a site of the web may give a name
        of its own the address of this machine, and would read what is shown here."""
        if not super().parse_request():
            return False
        if _host_of(self.headers.get("Host", "")) not in self.server.names:
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "This preview is not to be seen under this name")
            return False
        if "\0" in unquote(self.path):  # no file has such a name, and to ask for one is an error of its own
            self.send_error(HTTPStatus.NOT_FOUND)
            return False
        return True

    def do_GET(self) -> None:
        path = urlsplit(self.path).path
        if path == f"{_OWN}state":
            state = self.server.state()
            if self.client_address[0] != HERE:  # files of the teacher's are named in what is at fault
                state = {**state, "findings": []}
            self._answer(json.dumps(state, ensure_ascii=False).encode(), "application/json")
        elif path == f"{_OWN}follow.js":
            self._answer(_FOLLOW.read_bytes(), "text/javascript")
        elif path == "/worker.js":
            # a page that is kept for use without a connection would hide what has changed
            self.send_error(HTTPStatus.NOT_FOUND)
        elif (page := self._page(path)) is not None:
            self._answer(page.replace(b"</body>", _TAG + b"</body>"), "text/html; charset=utf-8")
        else:
            super().do_GET()

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Requests are not told: the terminal is for what changes and what is at fault."""

    def _page(self, path: str) -> bytes | None:
        """The page at ``path``, or None for what is no page; a folder without its slash is left to be redirected."""
        place = Path(self.translate_path(path))
        if path.endswith("/"):
            place = place / "index.html"
        return place.read_bytes() if place.suffix == ".html" and place.is_file() else None

    def _answer(self, data: bytes, kind: str) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)


def _host_of(asked: str) -> str | None:
    """The host in a ``Host`` header, without its port; None where it holds none."""
    try:
        return urlsplit(f"//{asked}").hostname
    except ValueError:
        return None


def serve_on(folder: Path, state: Callable[[], dict[str, Any]], port: int, shared: str | None = None) -> PreviewServer:
    """A server on ``port``, or on the next that is free; after ten tries on any. To be seen from this machine only, or
    under the address ``shared`` from its network too."""
    host = HERE if shared is None else EVERYWHERE
    for tried in (*range(port, min(port + 10, 65536)), 0):
        with suppress(OSError):
            return PreviewServer(folder, state, host, tried, shared or "")
    raise ContentError("no port is free for the preview", "Close other programs that serve pages, and try again.")


def address_of(server: PreviewServer) -> str:
    """The address under which the preview can be opened."""
    return f"http://{HERE}:{server.port}/"
