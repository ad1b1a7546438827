"""The fields a teacher writes: what ``studio.yaml`` and the front matter of ``piece.md`` may hold.

Validation is pydantic's; the line of each field comes from ruamel.yaml, which remembers where it read what.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, ValidationError
from ruamel.yaml.comments import CommentedMap

from sitegen.errors import ContentError
from sitegen.library.tempo_marks import TempoMark, read_tempo
from sitegen.library.yaml_reading import line_of, plain

M = TypeVar("M", bound=BaseModel)

SPANS = {"small": 10, "medium": 12, "large": 14}


def _span(value: Any) -> Any:
    return SPANS.get(value, value) if isinstance(value, str) else value


def _text(value: Any) -> Any:
    # a title may be a year, or a date
    return str(value) if isinstance(value, (int, float, date)) and not isinstance(value, bool) else value


Tempo = Annotated[TempoMark, PlainValidator(read_tempo)]
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
    bars: Annotated[str, BeforeValidator(_text), Field(pattern=r"^\w+(-\w+)?$")] | None = None
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
    tempo: Tempo | None = None
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
    "tempo": "a note value and a figure such as quarter = 104, or quarter notes a minute (10 to 400)",
}


def read_matter(model: type[M], data: CommentedMap, file: Path, first_line: int) -> tuple[M | None, list[ContentError]]:
    """Check ``data`` against ``model``; the value, or None with an error for every field at fault."""
    try:
        return model.model_validate(plain(data)), []
    except ValidationError as error:
        faults = {_fault_key(e["loc"]): _fault(dict(e), model, data, file, first_line) for e in error.errors()}
        return None, sorted(faults.values(), key=lambda fault: fault.line or 0)


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
