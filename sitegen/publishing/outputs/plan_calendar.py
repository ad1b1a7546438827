"""``plan.ics``: the plan of a piece for a calendar, where its first day is known."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.publishing.calendars import PracticeDay, calendar_file
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PlanTask
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, address_of, below_piece, folder_of

FILE = "plan.ics"


def has_calendar(source: OfPiece) -> bool:
    """Whether the days of the plan are known."""
    return source.piece.timetable is not None and any(day.date for day in source.piece.plan)


def _write(source: OfPiece, path: str) -> bytes:
    piece, words, library = source.piece, source.press.words, source.press.library
    assert piece.timetable is not None, "it is wanted only where its days are known"
    address, folder = address_of(piece, library), piece.place or folder_of(piece.slug)
    events = [
        PracticeDay(
            f"{folder}{day.title}",
            day.date,
            f"{piece.title}: {task_in_words(day.tasks[-1], words)}",
            "\n".join(task_in_words(task, words) for task in day.tasks),
            address,
        )
        for day in piece.plan
        if day.date
    ]
    return calendar_file(words("plan.title", title=piece.title), events, piece.timetable, library.language)


def task_in_words(task: PlanTask, words: Catalogue) -> str:
    """A task with its bars, in a line."""
    return with_bars(task.text, task.bars, words)


def with_bars(text: str, bars: Sequence[str], words: Catalogue) -> str:
    """A task with its bars as they are printed: none, one, or the first and the last."""
    if not bars:
        return text
    upbeat = "-upbeat" if bars[0] == "0" else ""
    if len(bars) == 1:
        return f"{text} ({words(f'piece.plan-bar{upbeat}', bar=bars[0])})"
    return f"{text} ({words(f'piece.plan-bars{upbeat}', first=bars[0], last=bars[1])})"


PLAN_CALENDAR: PublishedFile[OfPiece] = PublishedFile(OfPiece, below_piece(FILE), _write, wanted=has_calendar)
