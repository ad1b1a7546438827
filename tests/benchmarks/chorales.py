"""Chorales with an analyst's harmonies, from music21's corpus, as the fitting scripts need them.

    python -m tests.benchmarks.chorales     # which chorales are used, and how much of each its analysis covers

The corpus holds chorales by Bach analysed in RomanText by Andrew Jones and Dmitri Tymoczko. Those whose analysis does
not lie on the score that the corpus has (another verse or another key) are left out.
"""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import music21

from sitegen.score import Score, read_score
from tests.benchmarks.annotated import Piece, covered, piece_of

LEAST_COVERED = 0.8
_ANALYSES = Path(music21.__file__).parent / "corpus" / "bach" / "choraleAnalyses"


def chorales() -> tuple[Piece, ...]:
    """The chorales whose analysis covers at least ``LEAST_COVERED`` of what sounds."""
    return tuple(piece for piece in _all() if covered(piece) >= LEAST_COVERED)


@cache
def _all() -> tuple[Piece, ...]:
    found = []
    for path in sorted(_ANALYSES.glob("*.rntxt")):
        score = _score_of(_number(path))
        if score is not None:
            found.append(piece_of(path.stem, "", score, _rows(path)))
    return tuple(found)


def chorale(name: str) -> tuple[Score, Piece]:
    """One of them by its file's name, such as ``riemenschneider001``, with its score. Raises ``ValueError`` for one
    whose score the corpus has not."""
    path = _ANALYSES / f"{name}.rntxt"
    score = _score_of(_number(path))
    if score is None:
        raise ValueError(f"no score of {name}")
    return score, piece_of(name, "", score, _rows(path))


def _number(path: Path) -> str:
    line = next(row for row in path.read_text(encoding="utf-8").splitlines() if row.startswith("BWV:"))
    return line.split(":")[1].strip().lower()


def _score_of(number: str) -> Score | None:
    """The chorale by its BWV number, written as MusicXML and read as any score; None if the corpus has it not."""
    for name in (number, number.rstrip("s")):
        try:
            stream = music21.corpus.parse(f"bach/bwv{name}")
        except music21.exceptions21.Music21Exception:
            continue
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "chorale.musicxml"
            stream.write("musicxml", path)
            return read_score(path)
    return None


def _rows(path: Path) -> list[list]:
    """Rows of bar number, onset in quarters, pitch classes, bass, root, numeral, key."""
    analysis = music21.converter.parse(path, format="romanText")
    rows: list[list] = []
    for bar in analysis.parts[0].getElementsByClass("Measure"):
        for chord in bar.recurse().getElementsByClass(music21.roman.RomanNumeral):
            tones = sorted({pitch.pitchClass for pitch in chord.pitches})
            onset = str(music21.common.opFrac(chord.getOffsetInHierarchy(bar)))
            key = chord.key.tonicPitchNameWithCase
            if tones:
                rows.append(
                    [bar.number, onset, tones, chord.bass().pitchClass, chord.root().pitchClass, chord.figure, key]
                )
    return rows


def main() -> None:
    used = {piece.name for piece in chorales()}
    for piece in _all():
        print(f"{piece.name} {'used' if piece.name in used else 'left out'}, {covered(piece):.0%} covered")


if __name__ == "__main__":
    main()
