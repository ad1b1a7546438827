"""The fields a teacher writes: what ``studio.yaml`` and the front matter of ``piece.md`` may hold.

Validation is pydantic's; the line of each field comes from ruamel.yaml, which remembers where it read what.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, Generic, Literal, TypeVar, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, ValidationError
from ruamel.yaml.comments import CommentedMap

from sitegen.errors import ContentError
from sitegen.library.days_and_times import read_clock, read_day, read_zone
from sitegen.library.licences import NOT_STATED
from sitegen.library.plain_values import OddValueError, plain
from sitegen.library.sizes import read_size
from sitegen.library.tempo_marks import TempoMark, read_tempo
from sitegen.library.yaml_reading import line_of
from sitegen.places.parsing import parse_bars
from sitegen.score.hand_spans import MEDIUM_HAND, SPANS
from sitegen.score.intervals import interval_name

M = TypeVar("M", bound=BaseModel)

MOST_TOLD = 50  # faults of the fields of one file
NARROWEST, WIDEST = 5, 24  # semitones
_INTERVALS = {interval_name(semitones): semitones for semitones in range(NARROWEST, WIDEST + 1)}


def _span(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    said = re.sub(r"^(an?|major|perfect) ", "", " ".join(value.lower().split()))
    return _INTERVALS.get(said, SPANS.get(said, value))


def _text(value: Any) -> Any:
    # a title may be a year
    return str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


def _bars(value: Any) -> Any:
    try:
        return parse_bars(value).text
    except ContentError as error:
        raise ValueError(error.what) from error


def _day(value: Any) -> Any:
    try:
        day = date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        day = None
    if day is None or day.isoformat() != value:
        raise ValueError("no day")
    return value


def _died(value: Any) -> Any:
    return str(value).strip().lower() if isinstance(value, (int, str)) and not isinstance(value, bool) else value


TempoField = Annotated[TempoMark, PlainValidator(read_tempo)]
HandSpan = Annotated[int, BeforeValidator(_span), Field(ge=NARROWEST, le=WIDEST)]
Size = Annotated[int, BeforeValidator(read_size)]
Text = Annotated[str, BeforeValidator(_text)]
Line = Annotated[str, BeforeValidator(_text), Field(min_length=1)]
Language = Annotated[str, Field(pattern=r"^[a-z]{2,3}(-[A-Za-z]{2,4})?$")]
Bars = Annotated[str, BeforeValidator(_bars)]
CalendarDay = Annotated[date, BeforeValidator(read_day)]
Clock = Annotated[str, BeforeValidator(read_clock)]
Zone = Annotated[str, BeforeValidator(read_zone)]
Died = Annotated[str, BeforeValidator(_died), Field(pattern=r"^(\d{3,4}|living|unknown|)$")]


_Day = Annotated[str, BeforeValidator(_day)]


def _plan(value: Any) -> Any:
    return {True: {}, False: None}[value] if isinstance(value, bool) else value


def said(meaning: str) -> Any:
    """What a field is for, as the page for teachers says it."""
    return Field(description=meaning)


class Fields(BaseModel):
    """Fields that a teacher writes: none but those that are known."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class HabitsMatter(Fields):
    """How plans of practice are made, and at what time of day."""

    days: Annotated[int | None, Field(ge=1, le=7), said("days of practice a week; 5 if nothing is said")] = None
    minutes: Annotated[int | None, Field(ge=5, le=240), said("minutes a day; 20 if nothing is said")] = None
    returns: Annotated[
        list[Annotated[int, Field(ge=1, le=60)]] | None,
        Field(max_length=10),
        said("after how many days what was new comes back; [1, 3, 7] if nothing is said, [] for never"),
    ] = None
    time: Annotated[
        Clock | None, said("when practice begins, such as 17:00; without it the calendar has whole days")
    ] = None
    alarm: Annotated[
        int | None, Field(ge=0, le=1440), said("minutes before the time at which the calendar rings; else it does not")
    ] = None


class PlanMatter(HabitsMatter):
    """How the plan of a piece is made, and when its days are."""

    begins: Annotated[CalendarDay | None, said("the first day, such as 2026-11-30; a calendar file is then made")] = (
        None
    )


class LibraryMatter(Fields):
    """Another library that is shown with the studio's."""

    name: Annotated[
        str,
        Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40),
        said("a short name for it in small letters, with which the addresses of its pieces begin"),
    ]
    place: Annotated[Line, said("its folder, or a bundle, as it is found from studio.yaml on")]
    credit: Annotated[Text, said("who is named on each page of its pieces; without it, what it calls itself")] = ""


class StudioMatter(Fields):
    """``studio.yaml``: the library as a whole."""

    title: Annotated[Line, said("the studio's name, over every page")]
    language: Annotated[
        Language,
        said("the language of the pages, such as en, en-US or de"),
    ] = "en"
    teacher: Annotated[Text, said("who teaches: a name that may be public")] = ""
    about: Annotated[Text, said("a few words for the gallery, in Markdown")] = ""
    hand: Annotated[
        HandSpan, said("the widest stretch of the stages: small, medium, large, an interval, or semitones (5 to 24)")
    ] = MEDIUM_HAND
    theme: Annotated[str, Field(pattern=r"^[a-z0-9-]+$"), said("the look of the pages")] = "studio"
    licence_note: Annotated[Text, said("what holds for all pieces of the library, in words")] = ""
    address: Annotated[
        str,
        Field(pattern=r"^(https?://\S+)?$"),
        said("where the site will be: for the codes on paper, the feed, and what others show of a link to it"),
    ] = ""
    keep: Annotated[
        Size | None, said("how much a build may keep for the next one, such as 500MB or 4GB; 2GB if nothing is said")
    ] = None
    plan: Annotated[
        HabitsMatter, said("how plans are made where a piece or an assignment says nothing else, as below")
    ] = HabitsMatter()
    time_zone: Annotated[Zone | None, said("the time zone of the times in calendar files, such as Europe/Vienna")] = (
        None
    )
    rights: Annotated[
        Literal["required", "optional"] | None,
        said(
            "whether a piece is published that does not say its licence, composer, source and encoder: required (no) "
            "or optional (yes); if nothing is said those of other libraries are not, nor your own where the studio has "
            "an address"
        ),
    ] = None
    libraries: Annotated[list[LibraryMatter], said("libraries of others, shown with your own")] = []
    reference: Annotated[bool, said("whether the page for teachers is published that lists all of this")] = False


class PractiseMatter(Fields):
    """One line of the plan."""

    day: Annotated[int, Field(ge=1), said("the day, counted from 1")]
    stage: Annotated[Line, said("a stage by its name, its title or its technique")]
    bars: Annotated[Bars | None, said("bars as printed, such as 1-8; without them all of the stage")] = None
    note: Annotated[Text, said("a word to the pupil")] = ""


class PieceMatter(Fields):
    """The front matter of ``piece.md``."""

    title: Annotated[Line, said("the title of the piece")]
    composer: Annotated[Text, said("who wrote it; without it, what the score says")] = ""
    score: Annotated[Line, said("the score's file in the folder of the piece")]
    licence: Annotated[
        Line, said("under what licence score and words may be used: an SPDX identifier such as CC0-1.0")
    ] = NOT_STATED
    composer_died: Annotated[Died, said("the year of the composer's death: 1849, living, or unknown")] = ""
    work: Annotated[Text, said("a name for the work, the same in all ladders of it that are to stand side by side")] = (
        ""
    )
    editor: Annotated[Text, said("who edited the edition that the score was taken from")] = ""
    editor_died: Annotated[Died, said("the year of the editor's death: as composer_died")] = ""
    source: Annotated[Text, said("the edition that the score comes from, with its year where it is known")] = ""
    encoder: Annotated[Text, said("who made the score file")] = ""
    level: Annotated[Text, said("how advanced a pupil should be, in your own words")] = ""
    period: Annotated[Text, said("the time or style it is of, in your own words, such as Baroque")] = ""
    added: Annotated[_Day | None, said("the day on which it came into the library, such as 2026-09-01")] = None
    tags: Annotated[list[Line], said("words to find the piece by: [waltz, broken chords]")] = []
    hand: Annotated[HandSpan | None, said("as in studio.yaml, for this piece")] = None
    tempo: Annotated[TempoField | None, said("a note value and a figure: quarter = 104, dotted quarter = 60")] = None
    practise: Annotated[list[PractiseMatter], said("the plan: what on which day")] = []
    plan: Annotated[
        PlanMatter | None,
        BeforeValidator(_plan),
        said("true, or fields as below: a plan is made from the ladder, where 'practise' holds none"),
    ] = None
    summary: Annotated[Text, said("a sentence for the gallery")] = ""
    stages: Annotated[list[Any], said("your own list of stages, in your order")] = []
    adjustments: Annotated[list[dict[str, Any]], said("where you read or wish otherwise")] = []


_EXPECTED = {
    "missing": "this field is needed",
    "extra_forbidden": "no field of this name is known",
    "string_type": "a text is expected",
    "string_too_short": "a text is expected",
    "too_short": "a text is expected",
    "string_too_long": "a shorter text is expected",
    "too_long": "a shorter text is expected",
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
    "hand": "small, medium, large, an interval such as a tenth, or a number of semitones from 5 to 24",
    "language": "a language code such as en or de",
    "theme": "a theme's folder name in small letters",
    "bars": "bars as printed, such as 1-8",
    "address": "a web address, or nothing",
    "rights": "required or optional",
    "composer_died": "a year, living, or unknown",
    "editor_died": "a year, living, or unknown",
    "keep": "a size such as 500MB or 4GB",
    "day": "a day counted from 1",
    "name": "a short name in small letters, figures and hyphens",
    "libraries": "a line '- {name: anna, place: ../anna/content}' for each",
    "practise": "a line '- {day: 1, stage: bass line}' for each day",
    "stages": "a line '- bass line' for each stage",
    "adjustments": "a line '- {at: ..., ...}' for each",
    "added": "a day such as 2026-09-01",
    "plan": "fields such as {days: 5, minutes: 20}; for a piece true will do",
    "days": "days a week, from 1 to 7",
    "minutes": "minutes a day, from 5 to 240",
    "returns": "days in brackets: [1, 3, 7]",
    "begins": "a day such as 2026-11-30",
    "ends": "a day such as 2026-12-06",
    "time": "a time of day such as '17:00'",
    "alarm": "minutes before the time, from 0 to 1440",
    "time_zone": "a time zone such as Europe/Vienna",
    "set": "a line '- {piece: waltz, stage: bass line}' for each thing that is set",
    "tags": "a list in brackets: [waltz, broken chords]",
    "tempo": "a note value and one figure such as quarter = 104 or ♩. = 60, or quarter notes a minute (10 to 400)",
}


@dataclass(frozen=True, slots=True)
class Matter(Generic[M]):
    """Fields as they were read: what is sound of them (None where a field is needed that is not), an error for each
    that is at fault, and the entries of lists that were left out for it, by field and place."""

    sound: M | None
    faults: tuple[ContentError, ...] = ()
    left_out: frozenset[tuple[int | str, ...]] = frozenset()


def read_matter(model: type[M], data: CommentedMap, file: Path, first_line: int) -> Matter[M]:
    """Check ``data`` against ``model``. A field without a value is one that is not there."""
    try:
        values = plain(data)
    except OddValueError as error:
        return Matter(None, (error.at(file, line_of(data, error.path, first_line)),))
    given = {k: v for k, v in values.items() if v is not None or k not in model.model_fields}
    try:
        return Matter(model.model_validate(given))
    except ValidationError as error:
        faults = {_fault_key(e["loc"]): _fault(dict(e), model, data, file, first_line) for e in error.errors()}
        told = tuple(sorted(faults.values(), key=lambda fault: fault.line or 0))
        if len(told) > MOST_TOLD:
            rest = ContentError(
                f"has {len(told) - MOST_TOLD} more faults in its fields", "Mend those above first.", file
            )
            told = (*told[:MOST_TOLD], rest)
        # of a list only the entry at fault is left out, so that the others are looked at in the same run
        left_out = frozenset(key[:2] for key in faults if len(key) > 1 and isinstance(given.get(str(key[0])), list))
        sound = {
            name: [v for i, v in enumerate(value) if (name, i) not in left_out] if isinstance(value, list) else value
            for name, value in given.items()
            if (name,) not in faults
        }
        try:
            return Matter(model.model_validate(sound), told, left_out)
        except ValidationError:
            return Matter(None, told, left_out)


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
        if name in data and len(location) == 1:
            return ContentError(f"field '{name}' is empty", f"Write '{name}: ...'.", file, line=line)
        return ContentError(f"field '{name}' is missing", f"Write '{name}: ...'.", file, line=line)
    if kind == "extra_forbidden":
        known = list((model if len(location) == 1 else _within(model, str(location[0]))).model_fields)
        near = get_close_matches(name.lower(), known, 1, 0.75)
        remedy = f"Perhaps '{near[0]}'; known are: " if near else "Known are: "
        return ContentError(f"field '{name}' is not known", f"{remedy}{', '.join(known)}.", file, line=line)
    expected = _FIELDS.get(name) or re.sub(" is expected| are expected", "", _EXPECTED.get(kind, "another value"))
    return ContentError(f"field '{name}' cannot be used", f"Expected: {expected}.", file, line=line)


def _within(model: type[BaseModel], name: str) -> type[BaseModel]:
    """The model of the fields that a field of ``model`` holds."""
    waiting: list[Any] = [model.model_fields[name].annotation]
    while waiting:
        kind = waiting.pop(0)
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return kind
        waiting += get_args(kind)
    return model
