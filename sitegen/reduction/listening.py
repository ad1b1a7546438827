"""The sentence for the pupil on what to listen for in a stage, made from what is in this very piece.

Each technique has its list of remarks (``Technique.listen``). The first sentence that the notes of the stage bear out,
and that no stage before has said, is said; one of a kind not heard yet in the ladder comes first, and no note is
pointed out twice. A stage of which nothing can be said says nothing: the general sentence on its technique stands on
the page anyway.
"""

from __future__ import annotations

from collections.abc import Collection

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage
from sitegen.reduction.remarks.groups import ANY, TUNE, Remarks
from sitegen.reduction.remarks.shown import shown
from sitegen.reduction.techniques import techniques


def listen_for(material: Material, stage: Stage, before: Stage | None, said: Collection[Sentence]) -> Sentence | None:
    """What to listen for in ``stage``, which follows the stage ``before``, other than what was ``said``."""
    kinds, notes = {_kind_of(sentence) for sentence in said}, {_note_of(sentence) for sentence in said} - {None}
    found = shown(material, stage, before)
    second: Sentence | None = None
    for remark in (*_remarks_on(stage), *ANY):
        for sentence in remark(found):
            if sentence in said or _note_of(sentence) in notes:
                continue
            if _kind_of(sentence) not in kinds:
                return sentence
            second = second or sentence
    return second


def _kind_of(sentence: Sentence) -> str:
    """The message, or that of which it is another way to say the same: bars that lean by their first note lean."""
    return {"notes lean": "first notes lean"}.get(sentence.message, sentence.message)


def _note_of(sentence: Sentence) -> tuple[str, str] | None:
    """The one note that a sentence speaks of, with its bar."""
    fields = dict(sentence.fields)
    return (fields["note"], fields["bar"]) if {"note", "bar"} <= fields.keys() else None


def _remarks_on(stage: Stage) -> Remarks:
    """Those of the technique that the stage is called after, for one may serve under another's name; else of its own. A
    technique without a list is spoken of as a tune is."""
    table = techniques()
    row = table.get(stage.title.lower()) or next((table[name] for name in stage.techniques), None)
    return row.listen if row and row.listen else TUNE
