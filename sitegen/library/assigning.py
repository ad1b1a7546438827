"""The folder of assignments: what is set for whom, a file each, and the secret from which their addresses are made."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Annotated

from pydantic import Field

from sitegen.errors import ContentError, located
from sitegen.library.commentary import split_front_matter
from sitegen.library.folders import each_file
from sitegen.library.limits import read_text
from sitegen.library.matter import Bars, CalendarDay, Fields, HabitsMatter, HandSpan, Line, Text, read_matter, said
from sitegen.library.references import read_references
from sitegen.library.slugs import slug_of
from sitegen.library.yaml_reading import line_of, load_yaml

ASSIGNMENTS = "assignments"
SECRET = "secret.txt"
SHORTEST_SECRET = 32  # characters
LONGEST = 366  # days
MOST_SET = 100  # lines of one assignment
_SECRET = re.compile(r"[A-Za-z0-9_-]+")


class SetMatter(Fields):
    """One thing that is set."""

    piece: Annotated[Line, said("a piece by the name of its folder")]
    stage: Annotated[
        Line | None, said("a stage by its name, its title or its technique; without it the whole ladder")
    ] = None
    bars: Annotated[Bars | None, said("bars as printed, such as 1-8; without them all of the stage")] = None
    day: Annotated[
        int | None, Field(ge=1, le=LONGEST), said("on which day, counted from 1; without it laid over all days")
    ] = None
    note: Annotated[Text, said("a word to the pupil")] = ""


class AssignmentMatter(Fields):
    """The front matter of ``assignments/NAME.md``."""

    begins: Annotated[CalendarDay, said("the first day, such as 2026-11-30")]
    ends: Annotated[CalendarDay, said("the last day, such as 2026-12-06")]
    set: Annotated[list[SetMatter], Field(min_length=1, max_length=MOST_SET), said("what is set, a line each")]
    code: Annotated[
        Line | None,
        Field(max_length=60),
        said("a group's or a pupil's code, never a name; without it what the file is called"),
    ] = None
    hand: Annotated[HandSpan | None, said("as in studio.yaml: the stages are made again for this hand")] = None
    plan: Annotated[HabitsMatter, said("days a week, minutes a day and returns, where the studio says otherwise")] = (
        HabitsMatter()
    )


@dataclass(frozen=True, slots=True)
class Assignment:
    """What a teacher set. ``name`` is what its file is called; ``word`` her word to the pupil, Markdown that begins on
    ``word_line``. ``set_lines`` are the lines of what is set, ``lines`` those of the fields by name."""

    name: str
    file: Path
    matter: AssignmentMatter
    word: str = ""
    word_line: int = 1
    set_lines: tuple[int, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)

    @property
    def code(self) -> str:
        """What its page calls whom it is for."""
        return self.matter.code or self.name


@dataclass(frozen=True, slots=True)
class Assigned:
    """What lies in the folder of assignments. ``meant`` are the names of all of them, readable or not; ``secret`` is
    empty where there is none that can be used."""

    assignments: tuple[Assignment, ...] = ()
    secret: str = ""
    meant: tuple[str, ...] = ()
    faults: tuple[ContentError, ...] = ()
    warnings: tuple[ContentError, ...] = ()


def load_assignments(root: Path) -> Assigned:
    """The assignments below ``root``; nothing where there is no such folder. Faults are collected, not raised."""
    found: dict[str, Assignment] = {}
    meant: list[str] = []

    def load(file: Path) -> list[ContentError]:
        name = slug_of(file.stem)
        if name in meant:
            what, remedy = f"has the same name as another, '{name}'", "Rename one: signs and capitals do not count."
            return [ContentError(what, remedy, file)]
        meant.append(name)
        assignment, faults = _load(file, name)
        if assignment is not None:
            found[name] = assignment
        return faults

    misnamed = "is not read: an assignment is called NAME.md"
    told = each_file(root / ASSIGNMENTS, lambda file: file.suffix == ".md", misnamed, load, aside=SECRET)
    secret, faults = "", told.faults
    if meant:
        try:
            secret = _read_secret(root / ASSIGNMENTS / SECRET)
        except ContentError as error:
            faults = (*faults, error)
    return Assigned(tuple(found.values()), secret, tuple(meant), faults, told.warnings)


def _load(file: Path, name: str) -> tuple[Assignment | None, list[ContentError]]:
    front, first, word, word_line = split_front_matter(read_text(file), file)
    data = load_yaml(front, file, first)
    read = read_matter(AssignmentMatter, data, file, first)
    faults = list(read.faults)
    lines = {str(key): line_of(data, [key], first) for key in data}
    if read.sound is None or faults:
        return None, faults
    faults += _about_days(read.sound, file, lines)
    try:
        with located(file):
            read_references(word, word_line)
    except ContentError as error:
        faults.append(error)
    entries = tuple(line_of(data, ["set", place], first) for place in range(len(read.sound.set)))
    return None if faults else Assignment(name, file, read.sound, word, word_line, entries, lines), faults


def _about_days(matter: AssignmentMatter, file: Path, lines: Mapping[str, int]) -> Iterator[ContentError]:
    days = days_between(matter.begins, matter.ends)
    if days < 1:
        remedy = "Give it a day after the first."
        yield ContentError(f"it ends on {matter.ends}, before it begins", remedy, file, line=lines.get("ends"))
    elif days > LONGEST:
        yield ContentError(f"it lasts {days} days", f"Set {LONGEST} days at most.", file, line=lines.get("ends"))


def days_between(begins: date, ends: date) -> int:
    """How many days there are from the one to the other, both counted."""
    return (ends - begins).days + 1


def _read_secret(file: Path) -> str:
    remedy = "Write 'sitegen assign' with a name, which makes one; keep it with the content, and show it to nobody."
    if not file.is_file():
        what = "is missing, without which the assignments have no address that cannot be guessed; none is published"
        raise ContentError(what, remedy, file)
    secret = read_text(file).strip()
    if len(secret) < SHORTEST_SECRET or not _SECRET.fullmatch(secret):
        what = f"holds no secret of {SHORTEST_SECRET} letters and figures; no assignment is published"
        raise ContentError(what, f"Remove it. {remedy}", file)
    return secret
