"""From a file to a ``Score``."""

from __future__ import annotations

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

    Raises ``ScoreError`` (file, bar, reason) where it cannot be read whole.
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
        _check_nothing_lost(times, score)
    return score


def _check_nothing_lost(times: Times, score: Score) -> None:
    """Every pitched note of the MusicXML file must be in the score, in the bar where the file has it."""
    have = {head.id: head.bar for note in score.notes for head in note.noteheads}
    lost = [place.bar for name, place in times.places.items() if have.get(name) != place.bar]
    if lost:
        bar = score.bars[min(lost[0], len(score.bars) - 1)].number
        raise ScoreError(
            f"{len(lost)} notes could not be placed, the first {lost.count(lost[0])} here",
            "Check the voices of this bar in a notation editor and export again.",
            score.file,
            bar=bar,
        )
