"""From a file to a ``Score``."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from sitegen.errors import ScoreError
from sitegen.score.assembling import assemble
from sitegen.score.importing import import_mei
from sitegen.score.musicxml_times import Times, read_times
from sitegen.score.nouns import Score
from sitegen.score.sources import Source, open_source
from sitegen.score.walking import Walk, walk_music


def read_score(path: Path | Source) -> Score:
    """Read a score file of any supported format.

    Raises ``ScoreError`` (file, reason) where it holds no music. What is odd in it is read as best it can be and said
    in ``Score.warnings``, a line each.
    """
    source = path if isinstance(path, Source) else open_source(path)
    times = read_times(source) if source.kind == "musicxml" else None
    tree = import_mei(source)
    music = tree.find(".//{*}body//{*}score")
    if music is None:
        raise ScoreError("holds no music", "Export the score again.", source.file)
    # only MEI and ABC leave accidentals to be inferred; the importers of the others write each one out
    walk = Walk(source.file, spelled_out=source.kind in ("musicxml", "humdrum"), times=times)
    walk_music(music, walk)
    score = assemble(walk, tree)
    if times is not None:
        lost = _lost(times, score)
        if lost and len(lost) == len(times.places):
            raise ScoreError("none of its notes could be placed", "Export the score again.", source.file)
        for index, count in sorted(Counter(lost).items()):
            number = score.bars[min(index, len(score.bars) - 1)].number
            walk.odd.add(f"bar {number}", f"{count} of its notes could not be placed and are left out",
                         "Check its voices in a notation editor.")  # fmt: skip
    return replace(score, warnings=(*source.warnings, *score.warnings, *walk.odd.told()))


def _lost(times: Times, score: Score) -> list[int]:
    """For each pitched note of the MusicXML file that is not in the score where the file has it, its bar."""
    have = {head.id: head.bar for note in score.notes for head in note.noteheads}
    return [place.bar for name, place in times.places.items() if have.get(name) != place.bar]
