"""From a file to a ``Score``."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from sitegen.errors import ScoreError
from sitegen.score.assembling import assemble
from sitegen.score.counting import first_difference
from sitegen.score.humdrum_times import read_humdrum_times
from sitegen.score.importing import import_mei
from sitegen.score.mei_values import tag
from sitegen.score.musicxml_times import read_times
from sitegen.score.nouns import Score
from sitegen.score.octaves import keep_on_keyboard, sound_octaves
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
    if source.kind == "humdrum":
        spines = read_humdrum_times(source.text, walk.odd)
        walk.spines = spines if spines.bars == sum(1 for e in music.iter() if tag(e) == "measure") else None
    walk_music(music, walk)
    if source.kind == "mei":
        sound_octaves(walk)
    keep_on_keyboard(walk)
    score = assemble(walk, tree)
    _compare(source, score, walk)
    return replace(score, warnings=(*source.warnings, *score.warnings, *walk.odd.told()))


def _compare(source: Source, score: Score, walk: Walk) -> None:
    """Say where the score does not hold the notes that were counted in the file itself. Raises ``ScoreError`` where it
    holds none of them."""
    heads = Counter(head.bar for note in score.notes for head in note.noteheads)
    if sum(source.counted) and not heads:
        raise ScoreError("none of its notes could be placed", "Export the score again.", source.file)
    end = score.bars[-1].end if score.bars else 0
    beyond = next((note for note in score.notes if note.onset > end or (note.onset == end and not note.grace)), None)
    if beyond is not None:
        remedy = "Check the lengths of this bar, and export the score again."
        raise ScoreError("a note stands beyond the last bar", remedy, source.file, bar=score.bars[beyond.bar].number)
    found = first_difference(source.counted, [heads[bar.index] for bar in score.bars]) if source.counted else None
    if found is not None:
        number = score.bars[min(found.bar, len(score.bars) - 1)].number
        walk.odd.add(f"bar {number}", found.told(), "Compare this bar with your edition, and export the score again.")
