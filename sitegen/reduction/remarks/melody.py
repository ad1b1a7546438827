"""Remarks on the line that lies on top, and on the notes that decorate it."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage, StageNote
from sitegen.reduction.remarks.wording import bar_of, name, say, step_run
from sitegen.score import Note

_LEANING = {"appoggiatura": "leans", "suspension": "waits", "retardation": "waits"}
_DECORATING = {"passing note": "passes", "neighbour note": "neighbour", "anticipation": "early"}
_INNER = frozenset({"inner line alone", "inner line with the melody"})
_SIGNS = {"trill": "trill", "mordent": "mordent", "inverted-mordent": "mordent", "turn": "turn"}


def top_notes(material: Material, stage: Stage) -> list[StageNote]:
    """The melody's notes in a stage; where it has none of them, or shows an inner line, the highest of each onset."""
    sung = [n for n in stage.notes if not n.grace and material.roles.get(n.sources[0]) == "melody"]
    shows_inner = _INNER.intersection(stage.techniques[:1])
    if sung and not shows_inner:
        return sung
    every = [n for n in stage.notes if not n.grace]
    every = [n for n in every if material.roles.get(n.sources[0]) != "melody"] or every
    return [max(chord, key=lambda n: n.midi) for _, chord in groupby(every, key=lambda n: n.onset)]


def steps(material: Material, stage: Stage) -> list[Sentence]:
    """The longest line of four notes or more that goes by step."""
    line = top_notes(material, stage)
    run = step_run(line, 4)
    if run is None:
        return []
    first, last = line[run[0]], line[run[1]]
    message = "line rises" if run[2] > 0 else "line falls"
    return [say(message, bar=bar_of(material, first.onset), first=name(first.pitch), last=name(last.pitch))]


def highest(material: Material, stage: Stage) -> list[Sentence]:
    """The first of the highest notes."""
    note = max((n for n in stage.notes), key=lambda n: (n.midi, -n.onset))
    return [say("highest", note=name(note.pitch), bar=bar_of(material, note.onset))]


def lowest(material: Material, stage: Stage) -> list[Sentence]:
    """The first of the lowest notes."""
    note = min((n for n in stage.notes), key=lambda n: (n.midi, n.onset))
    return [say("lowest", note=name(note.pitch), bar=bar_of(material, note.onset))]


def leap(material: Material, stage: Stage) -> list[Sentence]:
    """The widest leap of the line, of a fifth or more."""
    moves = [(abs(a.midi - b.midi), -a.onset, a, b) for a, b in pairwise(top_notes(material, stage))]
    if not moves:
        return []
    width, _, first, last = max(moves, key=lambda move: move[:2])
    if width < 7:
        return []
    return [say("leap", bar=bar_of(material, first.onset), first=name(first.pitch), last=name(last.pitch))]


def entry(material: Material, stage: Stage) -> list[Sentence]:
    """The first note of the line."""
    first = top_notes(material, stage)[:1]
    return [say("enters", bar=bar_of(material, n.onset), note=name(n.pitch)) for n in first]


def busiest(material: Material, stage: Stage) -> list[Sentence]:
    """The bar with the most notes."""
    counts = Counter(material.score.bar_at(n.onset).index for n in stage.notes)
    most = max(counts, key=lambda index: (counts[index], -index))
    return [say("busiest", bar=material.score.bars[most].number, count=str(counts[most]))]


def leaning(material: Material, stage: Stage) -> list[Sentence]:
    """The appoggiaturas and suspensions that the stage holds, the longest first."""
    return _named(material, stage, _LEANING)


def decorated(material: Material, stage: Stage) -> list[Sentence]:
    """The melody's signs and graces, then its longest passing and neighbour notes."""
    found = []
    for note in top_notes(material, stage):
        for sign in note.ornaments:
            if sign in _SIGNS:
                fields = {"goal": name(note.pitch), "sign": _SIGNS[sign], "bar": bar_of(material, note.onset)}
                found.append(say("sign", **fields))
    places = {(n.onset, n.staff) for n in stage.notes if n.grace}
    for note in top_notes(material, stage):
        if (note.onset, note.staff) in places:
            found.append(say("grace", goal=name(note.pitch), bar=bar_of(material, note.onset)))
    return found + _named(material, stage, _DECORATING)


def _named(material: Material, stage: Stage, messages: dict[str, str]) -> list[Sentence]:
    ids = {n.sources[0] for n in top_notes(material, stage)}
    notes = [n for n in material.sounding if n.id in ids and material.reading(n).function in messages]
    notes.sort(key=lambda n: (-n.duration, n.onset))
    return [s for n in notes if (s := _of_a_note(material, n, messages)) is not None]


def _of_a_note(material: Material, note: Note, messages: dict[str, str]) -> Sentence | None:
    reading = material.reading(note)
    goal = material.by_id.get(reading.resolves_to or "")
    if goal is None:
        return None
    fields = {"note": name(note.pitch), "goal": name(goal.pitch), "bar": bar_of(material, note.onset)}
    if messages[reading.function] == "early":
        del fields["goal"]
    elif note.pitch.pitch_class == goal.pitch.pitch_class:
        return None
    return say(messages[reading.function], **fields)
