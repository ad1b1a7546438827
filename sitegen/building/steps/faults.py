"""Faults as plain data, which can be kept and sent."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.errors import ContentError, EngravingError, FaultsError, ScoreError, SitegenError, each_fault


@dataclass(frozen=True, slots=True)
class Fault:
    """A ``SitegenError`` as plain data; ``kind`` is the name of its class."""

    kind: str
    what: str
    remedy: str = ""
    file: str | None = None
    line: int | None = None
    bar: str | None = None


_KINDS = {kind.__name__: kind for kind in (SitegenError, ScoreError, ContentError, EngravingError)}


def faults_of(error: SitegenError) -> tuple[Fault, ...]:
    """The faults that an error stands for, as plain data."""
    return tuple(
        Fault(type(e).__name__, e.what, e.remedy, None if e.file is None else str(e.file), e.line, e.bar)
        for e in each_fault(error)
    )


def error_of(faults: tuple[Fault, ...]) -> SitegenError:
    """The error that plain data stands for."""
    errors = errors_of(faults)
    return errors[0] if len(errors) == 1 else FaultsError(errors)


def errors_of(faults: tuple[Fault, ...]) -> list[SitegenError]:
    """Each fault as an error."""
    return [_KINDS.get(f.kind, SitegenError)(f.what, f.remedy, f.file, f.line, f.bar) for f in faults]
