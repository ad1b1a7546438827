"""The site as it is being written: made anew where the content changes, served to this machine alone."""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sitegen.building.store import Store
from sitegen.previewing.folder import PreviewFolder
from sitegen.previewing.serving import PreviewServer, address_of, serve_on
from sitegen.previewing.watching import watching

__all__ = ["PreviewFolder", "PreviewServer", "address_of", "run_preview", "serve_on", "watching"]

LOOK_AGAIN = 2.0  # seconds after which it is looked whether the folder is there: a program may have put it elsewhere


def run_preview(
    content: Path, folder: Path, store: Store, port: int, reference: str, tell: Callable[[str], None]
) -> None:
    """Serve ``content``, published into ``folder``, until Ctrl-C; ``tell`` is given a line for whatever happens.
    ``reference`` is the page for teachers.

    Raises ``ContentError`` where there is no content folder.
    """
    shown = PreviewFolder(content, folder, store, reference)
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
        with suppress(KeyboardInterrupt), ended_by_sigterm():
            tell(f"Open {address_of(server)} in a browser of this machine. Ctrl-C ends it.")
            while True:
                with watching(content) as changed:
                    refresh()
                    while content.is_dir():
                        changed.wait(LOOK_AGAIN)
                        if changed.is_set() and content.is_dir():
                            changed.clear()
                            refresh()
                tell(f"{content}: is not there. The last good pages stay; it goes on when the folder is back.")
                while not content.is_dir():
                    time.sleep(LOOK_AGAIN)
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
