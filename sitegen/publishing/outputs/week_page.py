"""The page of the week: all that is set, on one sheet. It is unlisted like the assignments themselves."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.outputs.nouns import PublishedFile
from sitegen.publishing.outputs.plan_calendar import with_bars
from sitegen.publishing.qr import qr_svg
from sitegen.publishing.set_work import OfWeek


def _write(source: OfWeek, path: str) -> bytes:
    address, words = source.press.library.address.rstrip("/"), source.press.words
    codes = {page.folder: Markup(qr_svg(f"{address}/{page.folder}")) if address else "" for page in source.assignments}
    return source.press.page(
        "week.html.j2",
        path,
        assignments=source.assignments,
        codes=codes,
        told=lambda task: with_bars(task.text, task.bars, words),
    )


WEEK_PAGE: PublishedFile[OfWeek] = PublishedFile(OfWeek, lambda source: f"{source.folder}index.html", _write)
