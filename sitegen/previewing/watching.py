"""Waiting for the content to change."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from watchfiles import watch

QUIET = 50  # milliseconds without a further change: an editor writes a file in several steps
LONGEST = 400  # milliseconds after which a change is told even if more follow


@contextmanager
def watching(*places: Path) -> Iterator[threading.Event]:
    """Within it, the event is set whenever something at or below ``places`` was written; whoever sees it clears it."""
    changed, stop = threading.Event(), threading.Event()

    def watch_on() -> None:
        for _ in watch(*places, stop_event=stop, debounce=LONGEST, step=QUIET, raise_interrupt=False):
            changed.set()

    thread = threading.Thread(target=watch_on, daemon=True)
    thread.start()
    try:
        yield changed
    finally:
        stop.set()
        thread.join(timeout=5)
