"""What a validation finds: one line for a teacher, and plain data for a program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Literal, Protocol

from sitegen.errors import SitegenError, each_fault

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that its teacher should know: an ``error`` keeps its piece from being published (nothing else), a
    ``warning`` does not.

    ``file`` is the path as the content folder was named, ``line`` counts from 1, ``bar`` is as printed; ``piece`` is
    the slug of the piece it is about, empty for the library as a whole.
    """

    severity: Severity
    what: str
    remedy: str
    file: str
    line: int | None = None
    bar: str | None = None
    piece: str = ""

    def __str__(self) -> str:
        error = SitegenError(self.what, self.remedy, self.file, self.line, self.bar)
        if self.severity == "warning":
            error.what = f"warning: {self.what}"
        return str(error)

    def as_data(self) -> dict[str, object]:
        """The finding as an entry of ``check --format json``."""
        return asdict(self)


def findings_of(error: SitegenError, severity: Severity, piece: str = "", file: object = "") -> tuple[Finding, ...]:
    """The findings that an error stands for; ``file`` is where it names none."""
    return tuple(
        Finding(severity, e.what, e.remedy, str(e.file or file), e.line, e.bar, piece) for e in each_fault(error)
    )


class _Read(Protocol):
    @property
    def faults(self) -> Sequence[SitegenError]: ...
    @property
    def warnings(self) -> Sequence[SitegenError]: ...


def found_in_reading(read: _Read, root: object) -> Iterator[Finding]:
    """The findings of what was read from a folder of the content, or from all of it; ``root`` is where one names no
    file."""
    for error in read.faults:
        yield from findings_of(error, "error", file=root)
    for error in read.warnings:
        yield from findings_of(error, "warning", file=root)
