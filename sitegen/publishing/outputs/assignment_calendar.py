"""``practice.ics``: the days of an assignment for a calendar."""

from __future__ import annotations

from sitegen.publishing.calendars import PracticeDay, calendar_file
from sitegen.publishing.outputs.nouns import PublishedFile
from sitegen.publishing.outputs.plan_calendar import with_bars
from sitegen.publishing.set_work import OfAssignment, SetTask

FILE = "practice.ics"


def _write(source: OfAssignment, path: str) -> bytes:
    page, words, library = source.page, source.press.words, source.press.library

    def told(task: SetTask) -> str:
        return words("set.open", piece=task.piece, text=with_bars(task.text, task.bars, words))

    address = f"{library.address.rstrip('/')}/{page.folder}" if library.address else ""
    events = [
        PracticeDay(
            f"{page.folder}{day.number}", day.date, told(day.tasks[-1]), "\n".join(map(told, day.tasks)), address
        )
        for day in page.days
        if day.tasks
    ]
    return calendar_file(words("set.title", code=page.code), events, page.timetable, library.language)


ASSIGNMENT_CALENDAR: PublishedFile[OfAssignment] = PublishedFile(
    OfAssignment, lambda source: f"{source.page.folder}{FILE}", _write
)
