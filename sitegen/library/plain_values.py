"""Values of YAML as plain ones: texts, numbers, lists and fields, no more of them than anybody writes.

A few lines of YAML can stand for millions of values, by references to references, or for one that holds itself. So they
are counted as they are written out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

from sitegen.errors import ContentError
from sitegen.library.limits import is_text

MOST_VALUES = 50_000
DEEPEST = 20
_LARGEST = 2**53  # whole numbers beyond it are texts to all that reads JSON
_WRITE_OUT = "Write the values out, without '&', '*' and '<<'."
_WORD = 'Write it anew; put a text in double quotes: "...".'

Steps = tuple[str | int, ...]


@dataclass(slots=True)
class OddValueError(Exception):
    """A value that no field can have: at which place, what is wrong, and what to do."""

    path: Steps
    what: str
    remedy: str

    def at(self, file: Path, line: int) -> ContentError:
        """The fault that it is."""
        return ContentError(self.what, self.remedy, file, line=line)


def plain(value: Any) -> Any:
    """``value`` as its writer sees it: dates are texts as they are written. Raises ``OddValueError`` for more than
    ``MOST_VALUES`` values, lists in lists more than ``DEEPEST`` deep, and what is neither text, number, list nor
    fields."""
    return _Counting().plain(value, ())


@dataclass(slots=True)
class _Counting:
    """Writes values out, and counts them."""

    count: int = 0

    def plain(self, value: Any, path: Steps) -> Any:
        self.count += 1
        if self.count > MOST_VALUES:
            raise OddValueError(path, f"the fields stand for more than {MOST_VALUES} values", _WRITE_OUT)
        if len(path) > DEEPEST:
            raise OddValueError(path, f"lists or fields stand more than {DEEPEST} deep in each other", _WRITE_OUT)
        if isinstance(value, Mapping):
            return {self._name(key, path): self.plain(one, (*path, _step(key))) for key, one in value.items()}
        if isinstance(value, (list, tuple, set)):
            return [self.plain(one, (*path, place)) for place, one in enumerate(value)]
        return _single(value, path)

    def _name(self, key: Any, path: Steps) -> str:
        name = key if isinstance(key, str) else str(_single(key, path))
        return _text(str(name), path)


def _step(key: Any) -> str | int:
    return key if isinstance(key, (str, int)) else ""


def _single(value: Any, path: Steps) -> Any:
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        try:
            return int(value) if abs(value) < _LARGEST else str(int(value))
        except ValueError as error:  # too many digits to be written
            raise OddValueError(path, "a number has more digits than can be read", _WORD) from error
    if isinstance(value, float):
        return float(value) if isfinite(value) else str(float(value))
    if isinstance(value, (str, date)):
        return _text(str(value), path)
    raise OddValueError(path, "a value stands here that is neither a text nor a number, a list nor fields", _WORD)


def _text(text: str, path: Steps) -> str:
    if not is_text(text):
        raise OddValueError(path, "a text holds a character that no text may hold", _WORD)
    return text
