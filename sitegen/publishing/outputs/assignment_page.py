"""The page of an assignment, for the phone and for paper: today's task first, and a text to send to the teacher."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import PublishedFile
from sitegen.publishing.outputs.plan_calendar import with_bars
from sitegen.publishing.qr import qr_svg
from sitegen.publishing.set_work import OfAssignment


def _write(source: OfAssignment, path: str) -> bytes:
    page, address, words = source.page, source.press.library.address.rstrip("/"), source.press.words
    return source.press.page(
        "assignment.html.j2",
        path,
        page=page,
        word=Markup(page.word),
        code=Markup(qr_svg(f"{address}/{page.folder}")) if address else "",
        told=lambda task: with_bars(task.text, task.bars, words),
    )


ASSIGNMENT_PAGE: PublishedFile[OfAssignment] = PublishedFile(
    OfAssignment, lambda source: f"{source.page.folder}index.html", _write
)
