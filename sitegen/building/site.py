"""Building the whole site: what is out of date is made, then everything is published at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.apart import USUAL, Limits
from sitegen.building.progress import Tell
from sitegen.building.records import Outcome, load_record, name_of_build, see
from sitegen.building.store import LARGEST, Store
from sitegen.errors import ContentError

if TYPE_CHECKING:
    from sitegen.building.checking import Report
    from sitegen.building.engines import Engine

__all__ = ["Outcome", "build_site", "check_site"]

_OF_A_BUILD = ("examining", "pages")
_OF_A_CHECK = ("opening", "reading", "examining")
"""The steps whose modules a first worker loads while this process loads its own."""


def build_site(
    content: Path,
    output: Path,
    store: Store,
    workers: int,
    tell: Tell,
    reference: Callable[[], str] = str,
    *,
    largest: int | None = None,
    explain: Callable[[str], None] | None = None,
    allow_removal: bool = False,
    say: Callable[[str], None] = lambda line: None,
    cluster: str = "",
    limits: Limits = USUAL,
) -> Outcome:
    """Build the site of ``content`` into ``output``, with so many worker processes, in this one (0), or on the
    ``cluster`` whose scheduler has that address; elsewhere than here within ``limits``.

    ``reference`` gives the page for teachers, published where the studio asks for it. ``explain`` is told, for each
    thing that is made, why; ``say`` a line where another build must be waited for. A piece at fault is named in the
    outcome; the rest is built, and its last good pages stay, marked. The ``store`` keeps ``largest`` bytes; where that
    is not given what the studio says, else ``LARGEST``. Where nothing changed since the last build, nothing is written.
    Raises ``ContentError`` where nothing can be built at all, or where the site that stands would lose more than half
    of its pieces and ``allow_removal`` is not given; that site then stays as it is.
    """
    if not content.is_dir():
        from sitegen.library import load_library

        load_library(content)  # says that it is not there
    if (record := load_record(store, name_of_build(content, output))) is not None:
        now = see(content, record.seen.theme, record.seen.libraries, record.seen.joined)
        if record.is_standing(now, output.resolve()):
            return record.outcome
        del record  # another process may have built meanwhile; it is read again, and takes much memory
    # what only a build needs is loaded only then, here and in a worker at the same time
    engine = _on_cluster(cluster, store, limits) if cluster else _engine(store, workers, limits, _OF_A_BUILD)
    try:
        from sitegen.building.whole import build_whole

        outcome, wished = build_whole(
            content, output, store, engine, tell, reference, explain, allow_removal, say, limits
        )
    finally:
        engine.close()
    store.clean(next((size for size in (largest, wished) if size is not None), LARGEST))
    return outcome


def check_site(content: Path, store: Store, tell: Tell, workers: int, limits: Limits) -> Report:
    """Read, analyse and reduce every piece of ``content`` with so many worker processes, or in this one (0)."""
    engine = _engine(store, workers, limits, _OF_A_CHECK)
    try:
        from sitegen.building.checking import check_content

        return check_content(content, store, tell, engine, limits)
    finally:
        engine.close()


def _engine(store: Store, workers: int, limits: Limits, steps: Sequence[str]) -> Engine:
    """The engine of so many worker processes, of which one loads what these steps need, or that of this process."""
    from sitegen.building.engines.in_process import InProcess
    from sitegen.building.engines.workers import Workers

    if not workers:
        return InProcess(store)
    engine = Workers(store, workers, limits)
    engine.begin([f"sitegen.building.steps.{step}" for step in steps])
    return engine


def _on_cluster(address: str, store: Store, limits: Limits) -> Engine:
    """The engine of a cluster. Raises ``ContentError`` where what it needs is not installed, or none answers."""
    try:
        from sitegen.building.engines.cluster import join_cluster
    except ImportError as error:
        raise ContentError(
            "building on a cluster needs Dask, which is not installed", "Install it: pip install 'sitegen[cluster]'."
        ) from error
    return join_cluster(address, store, limits)
