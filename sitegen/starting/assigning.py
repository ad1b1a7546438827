"""An assignment begun: its file, and the secret from which addresses are made where there is none yet."""

from __future__ import annotations

import secrets
from datetime import date, timedelta
from pathlib import Path

from sitegen.errors import ContentError
from sitegen.library import load_library, slug_of
from sitegen.library.assigning import ASSIGNMENTS, SECRET
from sitegen.starting.folders import Started

_DRAFT = """\
---
code: {code}            # a group's or a pupil's; a published site is public, so never a name
begins: {begins}
ends: {ends}
set:                    # stage and bars may be left out; 'day: 1' says when, else all is laid over the days
  - {{piece: {piece}, stage: bass line, bars: 1-8, note: ''}}
# hand: small           # makes the stages again for that hand
# plan: {{days: 5, minutes: 20}}
---

A word to {code}.
"""


def start_assignment(code: str, content: Path) -> Started:
    """A file in the folder of assignments for a ``code``, for a week from tomorrow on. Raises ``ContentError`` where it
    is there already, or ``content`` is no studio."""
    library = load_library(content)
    name = slug_of(code)
    folder = content / ASSIGNMENTS
    file = folder / f"{name}.md"
    if name in library.assigned.meant or file.exists():
        raise ContentError("is there already", "Nothing was written. Go on with it, or give another code.", file)
    begins = date.today() + timedelta(days=1)
    piece = next((piece.slug for piece in library.pieces), "name-of-a-piece")
    made = []
    folder.mkdir(exist_ok=True)
    secret = folder / SECRET
    if not secret.exists():
        secret.touch(mode=0o600)
        secret.write_text(f"{secrets.token_hex(32)}\n", encoding="utf-8")
        made.append(secret)
    shown = code if code.isascii() and code.replace("-", "").isalnum() and not code.isdigit() else name
    text = _DRAFT.format(code=shown, begins=begins, ends=begins + timedelta(days=6), piece=piece)
    file.write_text(text, encoding="utf-8")
    return Started((*made, file))
