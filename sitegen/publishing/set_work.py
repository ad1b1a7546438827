"""What the pages of assignments need to know: plain data, already decided elsewhere. Days are written ``2026-11-30``,
addresses are relative to the page of the assignment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.publishing.nouns import Timetable
from sitegen.publishing.press import Press


@dataclass(frozen=True, slots=True)
class SetTask:
    """Something to practise: the title of the ``piece``, what of it and how, its bars as printed (none: all of it), and
    where the music is."""

    piece: str
    text: str
    bars: tuple[str, ...]
    url: str


@dataclass(frozen=True, slots=True)
class SetDay:
    """A day of practice; ``number`` counts from 1."""

    number: int
    date: str
    tasks: tuple[SetTask, ...]


@dataclass(frozen=True, slots=True)
class AssignmentPage:
    """An assignment as it is shown: the ``code`` of whom it is for, its ``folder`` below the site's root (with a slash
    at its end), its first and last day, the teacher's ``word`` as sanitised HTML, its days of practice."""

    code: str
    folder: str
    begins: str
    ends: str
    word: str
    days: tuple[SetDay, ...]
    timetable: Timetable


@dataclass(frozen=True, slots=True)
class OfAssignment:
    """What the files of an assignment are made from."""

    press: Press
    page: AssignmentPage


@dataclass(frozen=True, slots=True)
class OfWeek:
    """What the page of the week is made from: all assignments, in the order of their codes. ``folder`` is its own."""

    press: Press
    folder: str
    assignments: Sequence[AssignmentPage]
