"""A piece of hundreds of bars, written by rule: the tunes of ``many_pieces`` in 4/4, one after the other in all keys.

    python -m tests.long_piece CONTENT [--bars 264]

adds it to a content folder, which is made where it is not there.
"""

from __future__ import annotations

import argparse
from itertools import count
from pathlib import Path

from tests.building.studio import STUDIO, musicxml, write_piece
from tests.many_pieces import piece

#: Bars of a long romantic piece, such as a ballade.
BARS = 264


def long_score(bars: int = BARS) -> str:
    """A score file of so many bars."""
    right: list[str] = []
    left: list[str] = []
    for one in map(piece, count()):
        if len(right) >= bars:
            return musicxml(" | ".join(right[:bars]), " | ".join(left[:bars]))
        if one.metre == "4/4":
            right += one.right.split(" | ")
            left += one.left.split(" | ")
    raise AssertionError("pieces are without end")


def main() -> None:
    """Write the piece ``long-piece``."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("content", type=Path)
    parser.add_argument("--bars", type=int, default=BARS)
    options = parser.parse_args()
    options.content.mkdir(parents=True, exist_ok=True)
    if not (options.content / "studio.yaml").exists():
        (options.content / "studio.yaml").write_text(STUDIO, encoding="utf-8")
    write_piece(options.content, "long-piece", long_score(options.bars))


if __name__ == "__main__":
    main()
