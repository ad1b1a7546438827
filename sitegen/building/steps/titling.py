"""The MusicXML of a stage under its title, which is not drawn: another title engraves nothing."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape

from sitegen.notation.publishing import without_page_layout

TITLE = "[the title of the stage]"
_TITLED = re.compile(rf"(<(movement-title|work-title)>){re.escape(TITLE)}(</\2>)")


def with_title(text: str, title: str) -> str:
    """``text`` as it is handed out, with the title where ``TITLE`` stands for it."""
    return without_page_layout(_TITLED.sub(lambda found: found[1] + escape(title) + found[3], text))
