"""Results of steps kept on disk under their keys, so that what has not changed is not made again.

Each entry is one file, written beside its place and moved into it, so a killed process leaves no half entry. An entry
that cannot be read counts as absent. Entries are pickles of this project's own values, in the user's own folder; they
are never taken from elsewhere.
"""

from __future__ import annotations

import os
import pickle
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from platformdirs import user_cache_path

T = TypeVar("T")


def default_cache_folder() -> Path:
    """The user's cache folder, or what ``SITEGEN_CACHE`` names."""
    named = os.environ.get("SITEGEN_CACHE")
    return Path(named) if named else user_cache_path("sitegen")


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of results by key."""

    folder: Path

    def get_or_make(self, name: str, make: Callable[[], T]) -> T:
        """The result under ``name``, made and kept where it is not there yet."""
        place = self.folder / name[:2] / name
        # an entry may not be there, or be damaged, at which unpickling can fail in every way
        with suppress(Exception), place.open("rb") as file:
            found: T = pickle.load(file)
            return found
        made = make()
        self._keep(place, made)
        return made

    def _keep(self, place: Path, made: object) -> None:
        """Keep a result. A disk that is full or read-only costs time at the next build, and nothing else."""
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(dir=place.parent)
        except OSError:
            return
        try:
            with os.fdopen(handle, "wb") as file:
                pickle.dump(made, file, protocol=5)
            os.replace(beside, place)
        except OSError:
            Path(beside).unlink(missing_ok=True)
