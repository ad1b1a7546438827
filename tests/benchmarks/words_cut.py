"""Words of drawings that are not whole: those that reach beyond their drawing, and those with a sign that only a music
font has, which is an empty box.

    python -m tests.benchmarks.words_cut [SCORE...]

For each score as it is written and each layout, and for its first bars as a picture: how many words are cut, and how
many hold such a sign, of how many. Widths are those of the font that verovio lays out by; words that are told their
width have that. Without scores those of the shared folder.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

from sitegen.engraving import LAYOUTS, Sheet, engrave_incipit
from sitegen.engraving.beat_units import runs, width_of_run
from sitegen.engraving.engraver import draw
from sitegen.engraving.svg import FINE
from sitegen.score import open_source
from tests.benchmarks.shared import SHARED

_NAMES = [layout.name for layout in LAYOUTS]
_BOX = re.compile("[\ue000-\uf8ff\U0001d100-\U0001d1ff]")
_SVG = "{http://www.w3.org/2000/svg}"


def main(paths: list[Path]) -> None:
    """Print a row a score."""
    columns = [*_NAMES, "first bars"]
    print(f"{'cut, boxes of all words':40}" + "".join(f"{name:>18}" for name in columns))
    whole: dict[str, Counter[str]] = {name: Counter() for name in columns}
    for path in paths or sorted((SHARED / "scores").iterdir()):
        source = open_source(path)
        sheets = draw(source.text, source.kind, _NAMES, frozenset())
        sheets["first bars"] = (engrave_incipit(source.text, source.kind),)
        found = {name: words_of(sheets[name]) for name in columns}
        print(f"{path.stem[:38]:40}" + "".join(_cell(found[name]) for name in columns), flush=True)
        for name in columns:
            whole[name].update(found[name])
    print(f"{'all':40}" + "".join(_cell(whole[name]) for name in columns))


def _cell(found: Counter[str]) -> str:
    return f"{found['cut']:>6},{found['box']:>3} of{found['words']:>5}"


def words_of(sheets: tuple[Sheet, ...]) -> Counter[str]:
    """Texts (``words``), those that are ``cut`` at the right or the left, those with a ``box``."""
    found: Counter[str] = Counter()
    for sheet in sheets:
        for system in ElementTree.fromstring(sheet.svg).findall(f"{_SVG}g"):
            left = float(re.findall(r"-?[\d.]+", system.attrib["transform"])[0])
            for text in system.iter(f"{_SVG}text"):
                if " " in text.get("x", ""):
                    continue  # the fingering of a staff, each figure in its place
                for element in text.iter():
                    element.tag = element.tag.removeprefix(_SVG)
                wide = float(text.get("textLength") or sum(map(width_of_run, runs(text))))
                x = (
                    left
                    + float(text.get("x", "0"))
                    - {"middle": 0.5, "end": 1}.get(text.get("text-anchor", ""), 0) * wide
                )
                found["words"] += 1
                found["cut"] += x < 0 or x + wide > FINE * sheet.width
                found["box"] += _BOX.search("".join(text.itertext())) is not None
    return found


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
