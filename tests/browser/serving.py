"""A small server for built sites, as a strict host serves them: compressed, with a policy. The theme's sources too.

    python -m tests.browser.serving SITE

serves one until it is stopped, and prints its address.
"""

from __future__ import annotations

import gzip
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

POLICY = "default-src 'self'; base-uri 'none'; form-action 'none'; object-src 'none'; frame-ancestors 'none'"
_TEXTS = {".html", ".js", ".css", ".svg", ".json", ".webmanifest", ".txt"}
SOURCES = Path(__file__).resolve().parents[2] / "themes" / "base" / "src"


def _nobody(_path: str, _size: int) -> None:
    pass


class _Handler(SimpleHTTPRequestHandler):
    hear: Callable[[str, int], None]
    protocol_version = "HTTP/1.1"
    extensions_map = {  # noqa: RUF012 - the base class declares it so
        **SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".svg": "image/svg+xml",
        ".mp3": "audio/mpeg",
        ".woff2": "font/woff2",
        ".webmanifest": "application/manifest+json",
    }

    def __init__(self, *about: Any, hear: Callable[[str, int], None], directory: str) -> None:
        self.hear = hear
        super().__init__(*about, directory=directory)

    def translate_path(self, path: str) -> str:
        if path.startswith("/_sources/"):
            return str(SOURCES / path.removeprefix("/_sources/").partition("?")[0])
        return super().translate_path(path)

    def do_GET(self) -> None:
        place = Path(self.translate_path(self.path.partition("#")[0]))
        place = place / "index.html" if place.is_dir() else place
        if place.suffix not in _TEXTS or not place.is_file() or "gzip" not in self.headers.get("Accept-Encoding", ""):
            self.hear(self.path, place.stat().st_size if place.is_file() else 0)
            super().do_GET()
            return
        body = gzip.compress(place.read_bytes(), mtime=0)
        self.hear(self.path, len(body))
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(place)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", POLICY)
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        pass


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        # A browser that is closed in the middle of an answer is no fault.
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


@contextmanager
def serving(root: Path, hear: Callable[[str, int], None] = _nobody) -> Iterator[str]:
    """The address at which ``root`` is served, with a slash at its end. ``hear`` is told each path that is asked for
    and how many bytes of body answer it.
    """
    server = _Server(("127.0.0.1", 0), partial(_Handler, hear=hear, directory=str(root)))
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


if __name__ == "__main__":
    with serving(Path(sys.argv[1])) as where:
        print(where, flush=True)
        threading.Event().wait()
