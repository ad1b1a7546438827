"""``pages/files/<name>``: what lies beside the studio's own pages and is shown or offered there."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfPageFile, TakenFile

PAGE_FILE: TakenFile[OfPageFile] = TakenFile(
    OfPageFile, lambda source: f"pages/{source.path}", lambda source: source.data
)
