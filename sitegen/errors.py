"""The one family of errors a user meets: what is wrong, where, and what to do."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sitegen.showing import shown, with_words_cut


@dataclass(eq=False)
class SitegenError(Exception):
    """Something in the content is at fault.

    ``file`` with ``line`` or ``bar`` (as printed in the score) say where; ``what`` says what is wrong
    and ``remedy`` what to do about it. ``str()`` gives all of it as one line that is fit for a terminal, whatever
    the content holds.
    """

    what: str
    remedy: str = ""
    file: Path | str | None = None
    line: int | None = None
    bar: str | None = None

    def __str__(self) -> str:
        place = shown(str(self.file)) if self.file is not None else ""
        if self.line is not None:
            place += f":{self.line}"
        if self.bar is not None:
            bars = f"bars {self.bar}" if re.search(r"[-,–]| and ", self.bar) else f"bar {self.bar}"
            place += f", {bars}" if place else bars
        remedy = self.remedy[:1].upper() + self.remedy[1:]
        sentence = with_words_cut(f"{self.what.rstrip('.')}. {remedy}" if remedy else self.what)
        return shown(" ".join(f"{place}: {sentence}".split() if place else sentence.split()))


class ScoreError(SitegenError):
    """A score file that cannot be read, or only with a loss."""


class ContentError(SitegenError):
    """A fault in ``studio.yaml``, ``piece.md`` or another file a teacher writes."""


class FaultsError(SitegenError):
    """Faults of one piece that were found together; ``faults`` holds each of them."""

    def __init__(self, faults: Sequence[SitegenError]) -> None:
        super().__init__(f"{len(faults)} faults, the first: {faults[0]}")
        self.faults = tuple(faults)


def each_fault(error: SitegenError) -> tuple[SitegenError, ...]:
    """The faults that an error stands for."""
    return error.faults if isinstance(error, FaultsError) else (error,)


@contextmanager
def located(file: Path | str, line: int | None = None) -> Iterator[None]:
    """Faults found within get ``file`` and ``line`` where they name no file of their own."""
    try:
        yield
    except SitegenError as error:
        for fault in each_fault(error):
            if fault.file is None:
                fault.file, fault.line = file, line if fault.line is None else fault.line
        raise


class EngravingError(SitegenError):
    """A stage that could not be drawn or written."""
