"""Remarks on the bass of a stage."""

from __future__ import annotations

from collections import Counter
from itertools import groupby

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage, StageNote
from sitegen.reduction.remarks.wording import bar_of, name, say, step_run


def bass_notes(material: Material, stage: Stage) -> list[StageNote]:
    """The lowest note of each onset of the lowest hand."""
    hand = "left" if any(material.score.hand_of(n.staff) == "left" for n in stage.notes) else "right"
    mine = (n for n in stage.notes if material.score.hand_of(n.staff) == hand and not n.grace)
    return [min(chord, key=lambda n: n.midi) for _, chord in groupby(mine, key=lambda n: n.onset)]


def steps(material: Material, stage: Stage) -> list[Sentence]:
    """The longest line of four notes or more that the bass walks by step."""
    line = _moving(bass_notes(material, stage))
    run = step_run(line, 4)
    if run is None:
        return []
    first, last, direction = line[run[0]], line[run[1]], run[2]
    message = "bass rises by step" if direction > 0 else "bass falls by step"
    return [say(message, bar=bar_of(material, first.onset), first=name(first.pitch), last=name(last.pitch))]


def pedal(material: Material, stage: Stage) -> list[Sentence]:
    """The longest stretch of three bars or more over one bass note."""
    best: tuple[int, StageNote, int] | None = None
    for _, notes in groupby(bass_notes(material, stage), key=lambda n: n.midi):
        same = list(notes)
        first, last = material.score.bar_at(same[0].onset), material.score.bar_at(same[-1].end - 1)
        if last.index - first.index >= 2 and (best is None or last.index - first.index > best[0]):
            best = (last.index - first.index, same[0], same[-1].end - 1)
    if best is None:
        return []
    _, note, end = best
    fields = {"note": name(note.pitch), "bar": bar_of(material, note.onset), "to_bar": bar_of(material, end)}
    return [say("bass stays", **fields)]


def homecoming(material: Material, stage: Stage) -> list[Sentence]:
    """The last step of the bass from the fifth of the key to its root."""
    line = _moving(bass_notes(material, stage))
    for before, after in zip(reversed(line[:-1]), reversed(line), strict=False):
        harmony = material.harmony(after.onset)
        if harmony.root == after.midi % 12 and (before.midi - after.midi) % 12 == 7:
            fields = {"bar": bar_of(material, after.onset), "first": name(before.pitch), "last": name(after.pitch)}
            return [say("bass comes home", **fields)]
    return []


def returns(material: Material, stage: Stage) -> list[Sentence]:
    """The bass note that comes most often."""
    line = bass_notes(material, stage)
    counts = Counter(n.midi for n in line)
    if not counts or max(counts.values()) < 3:
        return []
    often = max(counts, key=lambda midi: counts[midi])
    first = next(n for n in line if n.midi == often)
    fields = {"note": name(first.pitch), "count": str(counts[often]), "bar": bar_of(material, first.onset)}
    return [say("bass comes back", **fields)]


def _moving(line: list[StageNote]) -> list[StageNote]:
    return [next(notes) for _, notes in groupby(line, key=lambda n: n.midi)]
