"""The page of the folder in which unlisted pages lie: many hosts list the contents of a folder that has none."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import PublishedFile
from sitegen.publishing.set_work import OfWeek
from sitegen.unlisted import FOLDER

NOTHING_HERE: PublishedFile[OfWeek] = PublishedFile(
    OfWeek, lambda source: f"{FOLDER}index.html", lambda source, path: source.press.page("nothing.html.j2", path)
)
