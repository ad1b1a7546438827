"""The two machine-readable outputs, ``analysis.json`` and ``site.json``, as plain data.

Time is exact: onsets and durations are strings holding a fraction of a quarter note, onsets counted from the bar line.
The JSON Schemas beside this module (``schemas/``) say what each field is.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from sitegen.analysis import Analysis, Counterpoint
from sitegen.analysis.functions import FUNCTIONS
from sitegen.analysis.texture import in_words
from sitegen.reduction import Stage, StageNote
from sitegen.score import Note, Score

CONTRACT = 1
_PLAIN = "chord tone"  # its harmony says why


def load_schema(name: Literal["analysis", "site", "manifest"]) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of ``analysis.json``, ``site.json`` or ``manifest.json``; the functions of notes
    are those of their table."""
    text = (files("sitegen.building") / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    if name == "analysis":
        schema["properties"]["notes"]["items"]["properties"]["function"]["enum"] = list(FUNCTIONS)
    return schema


def analysis_object(score: Score, analysis: Analysis, stages: Sequence[Stage]) -> dict[str, Any]:
    """The object that ``sitegen analyse --format json`` prints and ``analysis.json`` holds."""
    place = _Place(score)
    return {
        "contract": CONTRACT,
        "source": {
            "file": Path(score.file).name,
            **({"title": score.title} if score.title else {}),
            **({"composer": score.composer} if score.composer else {}),
        },
        "warnings": list(score.warnings),
        "ticks_per_quarter": score.ticks_per_quarter,
        "staves": [{"number": s.number, "hand": s.hand, "name": s.name} for s in score.staves],
        "bars": [
            {
                "index": b.index,
                "number": b.number,
                "onset": place.quarters(b.onset),
                "length": place.quarters(b.length),
                "time": b.metre.name,
                "fifths": b.fifths,
                "odd": b.odd,
            }
            for b in score.bars
        ],
        "notes": [_note(n, analysis, place) for n in score.notes],
        "harmonies": [
            {
                **place.of(h.onset),
                "duration": place.quarters(h.duration),
                "pitch_classes": sorted(h.pitch_classes),
                "bass": h.bass,
                "root": h.root,
                "key": h.key,
                "numeral": h.numeral,
                "symbol": h.symbol,
                "why": h.why,
            }
            for h in analysis.harmonies
        ],
        "textures": [
            {**place.of(t.onset), "staff": t.staff, "duration": place.quarters(t.duration), "kind": t.kind}
            for t in analysis.textures
        ],
        "passages": [
            {
                **place.of(p.onset),
                "duration": place.quarters(p.duration),
                "first": score.bar_at(p.onset).number,
                "last": score.bar_at(p.end - 1).number,
                "together": p.together,
                "right": p.right or None,
                "left": p.left or None,
                "words": in_words(p),
                "counterpoint": None if analysis.counterpoint else _counterpoint(p.counterpoint, place),
            }
            for p in analysis.passages
        ],
        "tension": [
            {**place.of(t.onset), "value": round(t.value, 4), **{name: round(part, 4) for name, part in t.parts}}
            for t in analysis.tension
        ],
        "phrases": [
            {**place.of(p.onset), "duration": place.quarters(p.duration), "cadence": p.cadence}
            for p in analysis.phrases
        ],
        "forms": [
            {**place.of(f.onset), "duration": place.quarters(f.end - f.onset), "kind": f.kind} for f in analysis.forms
        ],
        "counterpoint": _counterpoint(analysis.counterpoint, place),
        "stages": [_stage(stage, place) for stage in stages],
    }


def _counterpoint(found: Counterpoint | None, place: _Place) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "voices": [list(voice) for voice in found.voices],
        "entries": [
            {
                **place.of(entry.onset),
                "duration": place.quarters(entry.end - entry.onset),
                "voice": entry.voice,
                "form": entry.form,
                "steps": entry.steps,
                "notes": list(entry.notes),
            }
            for entry in found.entries
        ],
    }


class _Place:
    """Ticks as the contract writes them."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.closing = {n.id: n.bar for n in score.notes if n.grace and n.onset == score.bars[n.bar].end}

    def quarters(self, ticks: int) -> str:
        return str(self.score.quarters(ticks))

    def of_closing_grace(self, n: StageNote) -> dict[str, Any] | None:
        """A grace at the end of a bar stands there, not at the start of the next."""
        index = self.closing.get(n.sources[0]) if n.grace else None
        return None if index is None else {"bar": index, "onset": self.quarters(self.score.bars[index].length)}

    def of(self, tick: int) -> dict[str, Any]:
        b = self.score.bar_at(tick)
        return {"bar": b.index, "onset": self.quarters(tick - b.onset)}


def _note(n: Note, analysis: Analysis, place: _Place) -> dict[str, Any]:
    reading = analysis.notes[n.id]
    return {
        "id": n.id,
        "bar": n.bar,
        "onset": place.quarters(n.onset - place.score.bars[n.bar].onset),
        "duration": place.quarters(n.duration),
        "pitch": n.pitch.name,
        "midi": n.midi,
        "staff": n.staff,
        "voice": n.voice,
        "grace": n.grace,
        "written": [
            {
                "id": head.id,
                "bar": head.bar,
                "onset": place.quarters(head.onset - place.score.bars[head.bar].onset),
                "duration": place.quarters(head.duration),
            }
            for head in n.noteheads
        ],
        "function": reading.function,
        "resolves_to": reading.resolves_to,
        "line": reading.line,
        "depth": round(reading.depth, 4),
        **({"why": reading.why} if reading.function != _PLAIN else {}),
    }


def _stage(stage: Stage, place: _Place) -> dict[str, Any]:
    return {
        "slug": stage.slug,
        "title": stage.title,
        "side_study": stage.side_study,
        "techniques": list(stage.techniques),
        "listen": stage.listen,
        "difficulty": {
            "value": round(stage.difficulty.value, 4),
            **{name: round(part, 4) for name, part in stage.difficulty.parts},
        },
        "note_count": len(stage.notes),
        "notes": [_stage_note(n, place) for n in stage.notes],
        "hands": {
            report.hand: {
                "widest": report.widest,
                "places": [{**place.of(p.onset), "semitones": p.semitones, "remedy": p.remedy} for p in report.places],
            }
            for report in stage.hands
        },
    }


def _stage_note(n: StageNote, place: _Place) -> dict[str, Any]:
    return {
        "id": n.id,
        **(place.of_closing_grace(n) or place.of(n.onset)),
        "duration": place.quarters(n.duration),
        "pitch": n.pitch.name,
        "midi": n.midi,
        "staff": n.staff,
        "from": list(n.sources),
        **({"hand": n.hand} if n.hand != place.score.hand_of(n.staff) else {}),
        **{name: True for name in ("grace", "moved", "rolled") if getattr(n, name)},
    }
