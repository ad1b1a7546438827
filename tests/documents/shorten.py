"""Takes the first note out of a bar of a MusicXML file, as a careless export does: ``shorten.py FILE BAR``."""

from __future__ import annotations

import re
import sys
from pathlib import Path

file, bar = Path(sys.argv[1]), sys.argv[2]
text = file.read_text(encoding="utf-8")
before, begin, rest = text.partition(f'<measure number="{bar}"')
file.write_text(before + begin + re.sub(r"<note.*?</note>", "", rest, count=1, flags=re.S), encoding="utf-8")
