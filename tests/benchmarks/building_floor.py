"""The least that a build could cost: ``building_cost`` runs this in a process of its own and measures it.

    python -m tests.benchmarks.building_floor CONTENT OUTPUT

music21 reads each score of CONTENT once; verovio loads, lays out, draws, times and plays every stage in OUTPUT.
"""

from __future__ import annotations

import sys
from pathlib import Path

import verovio
from music21 import converter

from sitegen.layouts import LAYOUTS, OPTIONS
from tests.benchmarks.building_cost import stages_of


def main() -> None:
    """Do all of it, and keep nothing."""
    content, output = Path(sys.argv[1]), Path(sys.argv[2])
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    for slug, files in stages_of(output):
        score = next(p for p in sorted((content / slug).iterdir()) if p.suffix != ".md")
        try:
            converter.parse(score)
        except Exception as error:  # what music21 cannot read costs nothing: the floor is the lower for it
            print(f"{score.name}: music21 does not read it ({type(error).__name__})", file=sys.stderr)
        for file in files:
            toolkit.resetOptions()
            toolkit.setOptions({**OPTIONS, "inputFrom": "xml", "pageWidth": LAYOUTS[0].width})
            if not toolkit.loadData(file.read_text(encoding="utf-8")):
                raise SystemExit(f"{file}: verovio does not load it")
            toolkit.renderToTimemap({"includeMeasures": True})
            toolkit.renderToMIDI()
            for layout in LAYOUTS:
                toolkit.setOptions({"pageWidth": layout.width})
                toolkit.redoLayout()
                for page in range(1, toolkit.getPageCount() + 1):
                    toolkit.renderToSVG(page)


if __name__ == "__main__":
    main()
