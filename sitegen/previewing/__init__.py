"""The site as it is being written: made anew where the content changes, served to this machine alone."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sitegen.building import Cache
from sitegen.previewing.folder import PreviewFolder
from sitegen.previewing.serving import PreviewServer, address_of, serve_on
from sitegen.previewing.watching import watching

__all__ = ["PreviewFolder", "PreviewServer", "address_of", "run_preview", "serve_on", "watching"]


def run_preview(
    content: Path, folder: Path, cache: Cache, port: int, reference: str, tell: Callable[[str], None]
) -> None:
    """Serve ``content``, published into ``folder``, until Ctrl-C; ``tell`` is given a line for whatever happens.
    ``reference`` is the page for teachers.

    Raises ``ContentError`` where there is no content folder.
    """
    shown = PreviewFolder(content, folder, cache, reference)
    server = serve_on(folder, shown.state, port)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    told: set[str] = set()

    def made(slug: str) -> None:
        tell(f"Made: {slug}")

    def refresh() -> None:
        """Make what changed, and tell what was not told the time before."""
        shown.refresh(made)
        lines = [str(finding) for finding in shown.findings]
        for line in lines:
            if line not in told:
                tell(line)
        told.clear()
        told.update(lines)

    try:
        # the watch begins before the first look, so that what is saved meanwhile is not missed
        with suppress(KeyboardInterrupt), ended_by_sigterm(), watching(content) as changed:
            tell(f"Open {address_of(server)} in a browser of this machine. Ctrl-C ends it.")
            refresh()
            while True:
                changed.wait()
                changed.clear()
                refresh()
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def ended_by_sigterm() -> Iterator[None]:
    """Within it, SIGTERM ends as Ctrl-C does, so that nothing is left behind."""

    def end(number: int, frame: object) -> None:
        del number, frame
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
