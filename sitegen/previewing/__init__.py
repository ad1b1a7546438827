"""The site as it is being written: made anew where the content changes, served to this machine alone."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

from sitegen.apart import USUAL, Limits
from sitegen.building.engines.workers import Workers
from sitegen.building.store import Store
from sitegen.previewing.folder import PreviewFolder
from sitegen.previewing.network import address_in_network
from sitegen.previewing.serving import PreviewServer, address_of, serve_on
from sitegen.previewing.watching import watching
from sitegen.publishing.qr import qr_signs
from sitegen.sharing.joining import places_joined

__all__ = ["PreviewFolder", "PreviewServer", "address_of", "run_preview", "serve_on", "watching"]

LOOK_AGAIN = 2.0  # seconds after which it is looked whether the folder is there: a program may have put it elsewhere


HANDS = 2
"""Processes that make a piece: its stages are drawn two at a time, and they stay for the next time."""


def run_preview(
    content: Path,
    folder: Path,
    store: Store,
    port: int,
    reference: str,
    tell: Callable[[str], None],
    limits: Limits = USUAL,
    draw: Callable[[str], None] | None = None,
) -> None:
    """Serve ``content``, published into ``folder``, until it is stopped; ``tell`` is given a line for whatever happens.
    ``reference`` is the page for teachers. Pieces are made apart, within ``limits``. Only where there is a ``draw``,
    which is given a picture of signs for the terminal, the phones of this network see it too.

    Raises ``ContentError`` where there is no content folder.
    """
    engine = Workers(store, HANDS, limits)
    shown = PreviewFolder(content, folder, store, reference, engine, limits)
    shared = None if draw is None else address_in_network()
    server = serve_on(folder, shown.state, port, shared)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    told: set[str] = set()
    told_weeks: set[str] = set()

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
        if shown.week and shown.week not in told_weeks:
            told_weeks.add(shown.week)
            tell(f"The page of the week, listed nowhere: {address_of(server)}{shown.week}")

    try:
        tell(f"Open {address_of(server)} in a browser of this machine. Ctrl-C ends it.")
        if draw is not None and shared is not None:
            open_for_phones = f"http://{shared}:{server.port}/"
            tell(f"Whoever is in this network can open {open_for_phones} too, and see all of it, until it ends.")
            draw(qr_signs(open_for_phones))
        while True:
            # the watch begins before the first look, so that what is saved meanwhile is not missed
            others = _joined(content)
            with watching(content, *others) as changed:
                refresh()
                while content.is_dir() and others == _joined(content):
                    changed.wait(LOOK_AGAIN)
                    if changed.is_set() and content.is_dir():
                        changed.clear()
                        refresh()
            if content.is_dir():
                continue
            tell(f"{content}: is not there. The last good pages stay; it goes on when the folder is back.")
            while not content.is_dir():
                time.sleep(LOOK_AGAIN)
    finally:
        engine.close()
        server.shutdown()
        server.server_close()


def _joined(content: Path) -> tuple[Path, ...]:
    """Where other libraries lie that are shown with this one, those that are there."""
    return tuple(place for place in places_joined(content).values() if place.exists())
