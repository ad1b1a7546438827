"""The fields a teacher writes: what ``studio.yaml`` and the front matter of ``piece.md`` may hold.

Validation is pydantic's; the line of each field comes from ruamel.yaml, which remembers where it read what.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from sitegen.errors import ContentError
from sitegen.places.parsing import parse_bars

M = TypeVar("M", bound=BaseModel)

SPANS = {"small": 10, "medium": 12, "large": 14}


def _span(value: Any) -> Any:
    return SPANS.get(value, value) if isinstance(value, str) else value


def _text(value: Any) -> Any:
    return str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


def _bars(value: Any) -> Any:
    try:
        return parse_bars(value).text
    except ContentError as error:
        raise ValueError(error.what) from error


Span = Annotated[int, BeforeValidator(_span), Field(ge=5, le=24)]
Text = Annotated[str, BeforeValidator(_text)]
Line = Annotated[str, BeforeValidator(_text), Field(min_length=1)]


class _Matter(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class StudioMatter(_Matter):
    """``studio.yaml``: the library as a whole. ``hand`` is the widest stretch in semitones it is made for."""

    title: Line
    language: Annotated[str, Field(pattern=r"^[a-z]{2,3}(-[A-Za-z]{2,4})?$")] = "en"
    teacher: Text = ""
    about: Text = ""
    hand: Span = SPANS["medium"]
    theme: Annotated[str, Field(pattern=r"^[a-z0-9-]+$")] = "studio"
    licence_note: Text = ""
    address: Annotated[str, Field(pattern=r"^(https?://\S+)?$")] = ""


class PractiseMatter(_Matter):
    """One line of the plan: on ``day`` (counted from 1) practise ``stage``, all of it or ``bars`` such as ``1-8``."""

    day: Annotated[int, Field(ge=1)]
    stage: Line
    bars: Annotated[str, BeforeValidator(_bars)] | None = None
    note: Text = ""


class PieceMatter(_Matter):
    """The front matter of ``piece.md``."""

    title: Line
    composer: Text = ""
    score: Line
    licence: Line = "not stated"
    source: Text = ""
    level: Text = ""
    tags: list[Line] = []
    hand: Span | None = None
    tempo: Annotated[float, Field(ge=10, le=400)] | None = None
    practise: list[PractiseMatter] = []
    summary: Text = ""
    stages: list[Any] = []
    adjustments: list[dict[str, Any]] = []


_EXPECTED = {
    "missing": "this field is needed",
    "extra_forbidden": "no field of this name is known",
    "string_type": "a text is expected",
    "string_too_short": "a text is expected",
    "int_parsing": "a whole number is expected",
    "int_type": "a whole number is expected",
    "float_parsing": "a number is expected",
    "float_type": "a number is expected",
    "list_type": "a list is expected",
    "dict_type": "fields with values are expected",
    "model_type": "fields with values are expected",
    "greater_than_equal": "a larger number is expected",
    "less_than_equal": "a smaller number is expected",
}
_FIELDS = {
    "hand": "small, medium, large, or a number of semitones from 5 to 24",
    "language": "a language code such as en or de",
    "theme": "a theme's folder name in small letters",
    "bars": "bars as printed, such as 1-8",
    "address": "a web address, or nothing",
    "day": "a day counted from 1",
    "tempo": "quarter notes a minute, from 10 to 400",
}


def load_yaml(text: str, file: Path, first_line: int = 1) -> CommentedMap:
    """Read a YAML mapping that begins on ``first_line`` of ``file``. Raises ``ContentError`` with the line."""
    try:
        data = YAML(typ="rt").load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = first_line + (mark.line if mark else 0)
        raise ContentError(
            f"not readable as YAML: {error.problem or 'a mistake in the form'}",
            "Check indents, colons and quotes.",
            file,
            line=line,
        ) from error
    except (YAMLError, ValueError) as error:
        raise ContentError(
            "not readable as YAML", "Check indents, colons and quotes.", file, line=first_line
        ) from error
    if data is None:
        return CommentedMap()
    if not isinstance(data, CommentedMap):
        raise ContentError("fields with values are expected here", "Write 'title: ...'.", file, line=first_line)
    return data


def read_matter(model: type[M], data: CommentedMap, file: Path, first_line: int) -> tuple[M | None, list[ContentError]]:
    """Check ``data`` against ``model``; the value, or None with an error for every field at fault."""
    try:
        return model.model_validate(_plain(data)), []
    except ValidationError as error:
        faults = {_fault_key(e["loc"]): _fault(dict(e), model, data, file, first_line) for e in error.errors()}
        return None, sorted(faults.values(), key=lambda fault: fault.line or 0)


def line_of(data: Any, path: Sequence[str | int], first_line: int) -> int:
    """The line of the value at ``path``, or of the nearest mapping or list around it."""
    line = first_line
    for step in path:
        try:
            if isinstance(data, CommentedMap):
                line = first_line + data.lc.key(step)[0]
            elif isinstance(data, CommentedSeq) and isinstance(step, int):
                line = first_line + data.lc.item(step)[0]
            data = data[step]
        except (KeyError, IndexError, TypeError, AttributeError):
            break
    return line


def _fault_key(location: tuple[int | str, ...]) -> tuple[int | str, ...]:
    """One fault a field: pydantic may name the same one once for each type that it could have had."""
    return tuple(step for step in location if not (isinstance(step, str) and "[" in step))


def _fault(
    error: dict[str, Any], model: type[BaseModel], data: CommentedMap, file: Path, first_line: int
) -> ContentError:
    location = [step for step in error["loc"] if not (isinstance(step, str) and "[" in step)]
    name = next((str(step) for step in reversed(location) if isinstance(step, str)), "")
    line = line_of(data, location, first_line)
    kind = error["type"]
    if kind == "missing":
        return ContentError(f"field '{name}' is missing", f"Write '{name}: ...'.", file, line=line)
    if kind == "extra_forbidden":
        known = ", ".join(model.model_fields) if len(location) == 1 else "day, stage, bars, note"
        return ContentError(f"field '{name}' is not known", f"Known are: {known}.", file, line=line)
    expected = _FIELDS.get(name) or re.sub(" is expected| are expected", "", _EXPECTED.get(kind, "another value"))
    return ContentError(f"field '{name}' cannot be used", f"Expected: {expected}.", file, line=line)


def _plain(value: Any) -> Any:
    """ruamel's containers as plain ones, so that what is checked is what YAML says."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value)
    return str(value) if isinstance(value, str) else value
