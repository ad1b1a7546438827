"""A note on a published page that it is not up to date: the piece has a fault, and these are its last good pages."""

from __future__ import annotations

import re

from markupsafe import escape

_NOTE = re.compile(r'<p class="outdated" role="note">[^<]*</p>\n')
_START = re.compile(r"<main\b[^>]*>\n")


def mark_outdated(page: bytes, sentence: str) -> bytes:
    """The page with ``sentence`` at the head of what it says, in the place of any earlier note of this kind."""
    text = _NOTE.sub("", page.decode())
    note = f'<p class="outdated" role="note">{escape(sentence)}</p>\n'
    return _START.sub(lambda start: start[0] + note, text, count=1).encode()
