"""What the last build of a content folder into an output folder saw and made: the next looks only at what changed.

The record tells by the file system's word whether files are as they were. Where all are, nothing else is loaded: this
module knows neither music nor pages.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from sitegen.building.code import version_of
from sitegen.building.publication.trees import Stamp, stamp
from sitegen.building.stamps import stamp_of, stamp_of_files, stamps_of_places
from sitegen.building.store import Store
from sitegen.checking.nouns import Finding

_PROGRAM = Path(__file__).parents[1]
_OF_A_THEME = ("templates", "locale", "icons", "dist")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a build: the slugs built, those whose last good pages were kept, and everything that was found."""

    built: tuple[str, ...]
    kept: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps a piece from being published."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


@dataclass(frozen=True, slots=True)
class Seen:
    """What a build was made from, as stamps: the ``program`` with its theme (whose folder is ``theme``) and the
    versions of its libraries, and each place of the content folder."""

    program: str
    theme: str
    libraries: Mapping[str, str]
    places: Mapping[str, str]

    def has_same_program(self, other: Seen) -> bool:
        """Whether nothing but the content may differ."""
        mine, others = (self.program, self.theme, self.libraries), (other.program, other.theme, other.libraries)
        return mine == others


@dataclass(frozen=True, slots=True)
class Record:
    """A build: what it saw, the digests of the ``files`` that it published and their stamps, and its outcome."""

    seen: Seen
    files: Mapping[str, str] = field(default_factory=dict)
    stamps: Mapping[str, Stamp] = field(default_factory=dict)
    outcome: Outcome = Outcome((), (), ())

    def is_standing(self, seen: Seen, output: Path) -> bool:
        """Whether a build would see and publish the same. One with faults is not taken for it: what is at fault is
        looked at again."""
        return not self.outcome.errors and self.seen == seen and self.has_same_files(output)

    def has_same_files(self, output: Path) -> bool:
        """Whether what it published is still there as it was."""
        return all(stamp(output / path) == seen for path, seen in self.stamps.items())


def name_of_build(content: Path, output: Path) -> str:
    """The name of the record of this content and output; what was found names files as ``content`` is named."""
    places = f"{content}\n{content.resolve()}\n{output.resolve()}"
    return hashlib.sha256(places.encode()).hexdigest()[:32]


def load_record(store: Store, name: str) -> Record | None:
    """The record of the last build, where there is one that can be read."""
    data = store.note(f"builds/{name}")
    try:
        return msgspec.json.decode(data, type=Record) if data and not store.fresh else None
    except msgspec.MsgspecError:
        return None


def keep_record(store: Store, name: str, record: Record) -> None:
    """Keep the record for the next build."""
    store.write_note(f"builds/{name}", msgspec.json.encode(record))


def see(content: Path, theme: str, libraries: Mapping[str, str]) -> Seen:
    """What a build of ``content`` would see now, with the theme in the folder ``theme``."""
    program = hashlib.sha256(stamp_of_files(_PROGRAM, _program_files(_PROGRAM)).encode())
    for folder in _OF_A_THEME:
        program.update(stamp_of(Path(theme) / folder, ours=True).encode())
    versions = {name: version_of(name) for name in libraries}
    return Seen(program.hexdigest(), theme, versions, stamps_of_places(content))


def _program_files(folder: Path) -> Iterator[str]:
    for place in folder.rglob("*"):
        if place.suffix not in (".pyc", "") and "_themes" not in place.parts:
            yield place.relative_to(folder).as_posix()
