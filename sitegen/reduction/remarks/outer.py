"""Remarks on melody and bass together."""

from __future__ import annotations

from bisect import bisect_right

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage, StageNote
from sitegen.reduction.remarks.bass import bass_notes
from sitegen.reduction.remarks.melody import top_notes
from sitegen.reduction.remarks.wording import bar_of, name, say

_INTERVALS = {2: "in tenths", 5: "in sixths"}  # steps of the staff, octaves taken off


def pairs(material: Material, stage: Stage) -> list[tuple[StageNote, StageNote]]:
    """Melody and bass wherever one of them moves while the other sounds."""
    upper, lower = top_notes(material, stage), bass_notes(material, stage)
    if not lower or not upper or lower[0].staff == upper[0].staff:
        return []
    onsets = [note.onset for note in lower]
    found = []
    for note in upper:
        place = bisect_right(onsets, note.onset) - 1
        if place >= 0 and lower[place].end > note.onset:
            found.append((note, lower[place]))
    return found


def parallels(material: Material, stage: Stage) -> list[Sentence]:
    """The longest run of three or more parallel tenths (or thirds) or sixths."""
    best: tuple[int, str, StageNote] | None = None
    run: list[tuple[StageNote, StageNote]] = []
    kind = ""
    for top, low in [*pairs(material, stage), (None, None)]:
        now = _INTERVALS.get((top.pitch.diatonic - low.pitch.diatonic) % 7, "") if top and low else ""
        moved = bool(run and top and low and run[-1][0].midi != top.midi and run[-1][1].midi != low.midi)
        if now and now == kind and moved:
            run.append((top, low))  # type: ignore[arg-type]
            continue
        if kind and len(run) >= 3 and (best is None or len(run) > best[0]):
            close = all(t.pitch.diatonic - b.pitch.diatonic == 2 for t, b in run)
            best = (len(run), "in thirds" if close else kind, run[0][0])
        run, kind = ([(top, low)], now) if top and low and now else ([], "")
    if best is None:
        return []
    count, message, first = best
    return [say(message, bar=bar_of(material, first.onset), count=str(count))]


def contrary(material: Material, stage: Stage) -> list[Sentence]:
    """The longest run of three or more moves in which the outer voices go opposite ways."""
    found = pairs(material, stage)
    best: tuple[int, int, int] | None = None
    start, direction = 0, 0
    for place in range(1, len(found) + 1):
        way = 0
        if place < len(found):
            up = found[place][0].midi - found[place - 1][0].midi
            down = found[place][1].midi - found[place - 1][1].midi
            way = (up > 0) - (up < 0) if up * down < 0 else 0
        if way and way == direction:
            continue
        if direction and place - start >= 3 and (best is None or place - start > best[1] - best[0] + 1):
            best = (start, place - 1, direction)
        start, direction = place - 1, way
    if best is None:
        return []
    first, last = found[best[0]][0], found[best[1]][0]
    message = "apart" if best[2] > 0 else "together"
    return [say(message, bar=bar_of(material, first.onset), last=name(last.pitch))]
