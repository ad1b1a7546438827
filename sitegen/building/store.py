"""What steps have made, on disk: ``values/`` by the digest of their bytes, ``results/`` by the key of the step.

A result names values. Each file is written beside its place and moved into it, and is checked against its digest when
it is read; what does not agree is taken away and counts as never made. What was longest not used goes first where all
of it is larger than it may be.
"""

from __future__ import annotations

import itertools
import json
import os
import shutil
import tempfile
import time
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from platformdirs import user_cache_path

from sitegen.building.digests import digest_of
from sitegen.stopping import at_any_end

LARGEST = 2_000_000_000
"""Bytes that a store may hold where nothing else is said."""

_HEAD = b"sitegen result 1\n"
_USED_AGAIN = 3600.0  # seconds after which it is noted anew that a file was used
_LEFT = 0.8  # of what it may hold a store keeps so much, so that not every build has to clean it
_SPEED = 1  # of compression: drawings take a quarter of their bytes, and hardly any time
_FORGOTTEN = 86_400.0  # seconds after which an unfinished file is nobody's, whatever its name says

_numbers = itertools.count()


def default_store_folder() -> Path:
    """The user's cache folder, or what ``SITEGEN_CACHE`` names."""
    named = os.environ.get("SITEGEN_CACHE")
    return Path(named) if named else user_cache_path("sitegen")


def open_store(fresh: bool = False) -> Store:
    """The user's store. Where that cannot be written, one that is gone when the program ends: it costs time at the next
    build, and nothing else."""
    folder = default_store_folder()
    probe = folder / "unfinished" / f"{os.getpid()}-probe"
    try:
        probe.parent.mkdir(parents=True, exist_ok=True)
        probe.write_bytes(b"")
        probe.unlink()
    except OSError:
        folder = Path(tempfile.mkdtemp(prefix="sitegen-"))
        at_any_end(partial(shutil.rmtree, folder, ignore_errors=True))
    return Store(folder, fresh)


class Damaged(Exception):  # noqa: N818 - not a fault of anybody's: it is made again
    """A value that is not there, or no longer what it was; it is taken away, so that its step runs again."""

    def __init__(self, digest: str) -> None:
        super().__init__(digest)
        self.digest = digest


@dataclass(frozen=True, slots=True)
class Store:
    """The store in ``folder``. A ``fresh`` one knows no result but those of its own, and writes everything anew."""

    folder: Path
    fresh: bool = False
    made: set[str] = field(default_factory=set, repr=False, compare=False)

    def put(self, data: bytes) -> str:
        """Keep ``data``; its digest. Raises ``OSError`` where that cannot be written."""
        digest = digest_of(data)
        place = self._value(digest)
        if not place.exists() or (self.fresh and digest not in self.made):
            self._write(place, zlib.compress(data, _SPEED))
            self.remember([digest])
        return digest

    def get(self, digest: str) -> bytes:
        """The bytes under ``digest``. Raises ``Damaged`` where they are not there, or others."""
        place = self._value(digest)
        with suppress(OSError, zlib.error):
            data = zlib.decompress(place.read_bytes())
            if digest_of(data) == digest:
                return data
        with suppress(OSError):
            place.unlink()
        raise Damaged(digest)

    def has(self, digest: str) -> bool:
        """Whether there is something under ``digest``; whether it is whole, reading it tells."""
        return _used(self._value(digest))

    def keep_result(self, key: str, outputs: Mapping[str, str]) -> None:
        """Keep that the step with this key gave ``outputs``: digests by name, in order."""
        self._write(self._result(key), _checked(json.dumps([key, list(outputs.items())]).encode()))
        self.remember([key])

    def result(self, key: str) -> dict[str, str] | None:
        """What the step with this key gave, where that is known and all of it is there."""
        place = self._result(key)
        if self.fresh and key not in self.made:
            return None
        with suppress(OSError, ValueError, TypeError):
            kept, outputs = json.loads(_unchecked(place.read_bytes()))
            if kept == key and all(self.has(digest) for _, digest in outputs):
                _used(place)
                return dict(outputs)
        return None

    def remember(self, names: Iterable[str]) -> None:
        """What these name was made anew, here or by a worker; only a fresh store must know."""
        if self.fresh:
            self.made.update(names)

    def write_note(self, name: str, data: bytes) -> None:
        """Keep something under a name of its own. A store that cannot be written goes without."""
        with suppress(OSError):
            self._write(self.folder / "notes" / name, _checked(zlib.compress(data, _SPEED)))

    def note(self, name: str) -> bytes | None:
        """What is kept under that name, where it is there and whole."""
        with suppress(OSError, ValueError, zlib.error):
            return zlib.decompress(_unchecked((self.folder / "notes" / name).read_bytes()))
        return None

    def clean(self, largest: int) -> None:
        """Take away what was longest not used, where there are more than ``largest`` bytes, and what was left
        unfinished."""
        for place in list(_files(self.folder / "unfinished")):
            if not _is_alive(place.name.partition("-")[0]) or time.time() - place.stat().st_mtime > _FORGOTTEN:
                with suppress(OSError):
                    os.unlink(place.path)
        found = [(e.stat(), e.path) for part in ("results", "values") for e in _files(self.folder / part)]
        total = sum(state.st_size for state, _ in found)
        if total <= largest:
            return
        for state, path in sorted(found, key=lambda f: (f[0].st_mtime_ns, f[1])):
            if total <= largest * _LEFT:
                break
            with suppress(OSError):
                os.unlink(path)
                total -= state.st_size

    def _value(self, digest: str) -> Path:
        return self.folder / "values" / digest[:2] / digest

    def _result(self, key: str) -> Path:
        return self.folder / "results" / key[:2] / key

    def _write(self, place: Path, data: bytes) -> None:
        beside = self.folder / "unfinished" / f"{os.getpid()}-{next(_numbers)}"
        try:
            beside.write_bytes(data)
        except FileNotFoundError:
            beside.parent.mkdir(parents=True, exist_ok=True)
            beside.write_bytes(data)
        try:
            os.replace(beside, place)
        except FileNotFoundError:
            place.parent.mkdir(parents=True, exist_ok=True)
            os.replace(beside, place)


def _used(place: Path) -> bool:
    """Whether the file is there; if so it is noted that it was used."""
    try:
        if time.time() - place.stat().st_mtime > _USED_AGAIN:
            os.utime(place)
    except PermissionError:
        return True
    except OSError:
        return False
    return True


def _checked(data: bytes) -> bytes:
    return _HEAD + digest_of(data).encode() + b"\n" + data


def _unchecked(data: bytes) -> bytes:
    """The bytes that were given to ``_checked``. Raises ``ValueError`` where they are not these."""
    head, digest, kept = data[: len(_HEAD)], data[len(_HEAD) : len(_HEAD) + 64], data[len(_HEAD) + 65 :]
    if head != _HEAD or digest != digest_of(kept).encode():
        raise ValueError("damaged")
    return kept


def _files(folder: Path) -> Iterator[os.DirEntry[str]]:
    """Every file below ``folder``; none where it is not there."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _files(Path(entry.path))
            else:
                yield entry


def _is_alive(process: str) -> bool:
    try:
        os.kill(int(process), 0)
    except (ValueError, ProcessLookupError):
        return False
    except OSError:
        return True
    return True
