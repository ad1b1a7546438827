"""``offline.json``: what the worker of a site keeps of a folder for use without a connection.

A browser takes the new files only when it has them all and each has its digest, so that it never shows half a new page.
Sounds are left out, which a page asks for by itself, as many as its piece needs; so is what no page opens, and
what is for paper, other programs and the teacher: who prints, takes away or prepares a lesson has a connection.
"""

from __future__ import annotations

import re

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.outputs.nouns import OfFolder, PublishedFile

FILE = "offline.json"
_NOT_KEPT = re.compile(
    r"sounds/|worker\.js$|offline\.json$|analysis\.json$|card\.(json|png)$|words\.json$|site\.json$|feed\.xml$|sitemap\.xml$"
    r"|score/|print\.html$|reading\.html$|plan\.html$|plan\.ics$|stages/[^/]+/stage\.(mid|musicxml)$"
)


def _write(source: OfFolder, path: str) -> bytes:
    kept = {path: digest for path, digest in sorted(source.files.items()) if not _NOT_KEPT.match(path)}
    return as_json({"files": kept})


OFFLINE: PublishedFile[OfFolder] = PublishedFile(OfFolder, lambda source: source.folder + FILE, _write)
