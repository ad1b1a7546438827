"""What the last build of a content folder into an output folder saw and made: the next looks only at what changed.

The record tells by the file system's word whether files are as they were. Where all are, nothing else is loaded: this
module knows neither music nor pages.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

import msgspec

from sitegen.building.code import version_of
from sitegen.building.publication.trees import Stamp, stamp
from sitegen.building.stamps import stamp_of, stamps_of_places
from sitegen.building.store import Store
from sitegen.checking.nouns import Finding

_PROGRAM = Path(__file__).parents[1]
_NOT_OF_THE_PROGRAM = frozenset({"_themes", "__pycache__"})
_NOT_OF_A_THEME = frozenset({"src", "node_modules"})


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a build: the slugs built, those whose last good pages were kept, and everything that was found.
    What is ``passing`` may be otherwise at the next build, though nothing changes: a step that took too long. ``week``
    is the path of the page of the week, empty where nothing is set."""

    built: tuple[str, ...]
    kept: tuple[str, ...]
    findings: tuple[Finding, ...]
    passing: bool = False
    week: str = ""

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps a piece from being published."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


@dataclass(frozen=True, slots=True)
class Seen:
    """What a build was made from, as stamps: the ``program`` with its theme (whose folders are ``theme``) and the
    versions of its libraries, and each place of the content folder and of the libraries (``joined``, by name) that are
    shown with it."""

    program: str
    theme: tuple[str, ...]
    libraries: Mapping[str, str]
    places: Mapping[str, str]
    joined: Mapping[str, str] = field(default_factory=dict)

    def has_same_program(self, other: Seen) -> bool:
        """Whether nothing but the content may differ."""
        mine, others = (self.program, self.theme, self.libraries), (other.program, other.theme, other.libraries)
        return mine == others


@dataclass(frozen=True, slots=True)
class Record:
    """A build: what it saw, the SHA-256 of the ``manifest`` of the site that it published, the ``stamps`` of that
    site's files, and its outcome."""

    seen: Seen
    manifest: str = ""
    stamps: Mapping[str, Stamp] = field(default_factory=dict)
    outcome: Outcome = Outcome((), (), ())

    def is_standing(self, seen: Seen, output: Path) -> bool:
        """Whether a build would see, find and publish the same."""
        return not self.outcome.passing and self.seen == seen and self.has_same_files(output)

    def has_same_files(self, output: Path) -> bool:
        """Whether what it published is still there as it was."""
        site = str(output)
        return all(stamp(f"{site}/{path}") == seen for path, seen in self.stamps.items())


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


def see(
    content: Path,
    theme: tuple[str, ...],
    libraries: Mapping[str, str],
    joined: Mapping[str, str] = MappingProxyType({}),
) -> Seen:
    """What a build of ``content`` would see now, with the theme in the folders ``theme`` and other
    libraries ``joined``."""
    parts = [place for place in sorted(_PROGRAM.iterdir()) if place.name not in _NOT_OF_THE_PROGRAM]
    program = hashlib.sha256()
    for place in parts:
        program.update(f"{place.name} {stamp_of(place, lambda name: not name.endswith('.pyc'))}\n".encode())
    for folder in map(Path, theme):
        places = sorted(folder.iterdir()) if folder.is_dir() else []
        for place in places:
            if place.name not in _NOT_OF_A_THEME:
                program.update(f"{place.name} {stamp_of(place)}\n".encode())
    versions = {name: version_of(name) for name in libraries}
    stamps = stamps_of_places(content)
    for name, library in joined.items():
        stamps |= {f"{name}/{part}": state for part, state in _stamps_of_library(Path(library)).items()}
    return Seen(program.hexdigest(), theme, versions, stamps, dict(joined))


def _stamps_of_library(place: Path) -> dict[str, str]:
    """The stamps of a library that is a folder or a bundle; none of one that is not there."""
    try:
        return stamps_of_places(place) if place.is_dir() else {place.name: stamp_of(place)}
    except OSError:
        return {}
