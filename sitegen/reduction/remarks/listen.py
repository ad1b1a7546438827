"""The sentence for the pupil on what to listen for in a stage, made from what is in this very piece.

Each technique has its list of remarks. The first sentence that the notes of the stage bear out, and that no stage
before has said, is said; one of a kind not heard yet in the ladder comes first, and no note is pointed out twice. A
stage of which nothing can be said says nothing: the general sentence on its technique stands on the page anyway.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage
from sitegen.reduction.remarks import additions, bass, chords, counterpoint, leaning, lines, returns
from sitegen.reduction.remarks.counterpoint import ALONE
from sitegen.reduction.remarks.listen_texts import SENTENCES
from sitegen.reduction.remarks.shown import Shown, shown

Remark = Callable[[Shown], list[Sentence]]

_BASS: tuple[Remark, ...] = (
    bass.steps, bass.semitones, bass.outsider, bass.pedal, bass.leap, bass.quickening, bass.homecoming,
)  # fmt: skip
_OUTER: tuple[Remark, ...] = (lines.outer_contrary, lines.outer_parallels, lines.furthest, lines.closest)
_TUNE: tuple[Remark, ...] = (lines.melody_steps, lines.highest, lines.leap)
_HARMONY: tuple[Remark, ...] = (
    chords.one_moves, chords.kept, chords.outsider, chords.cadence, chords.quickening, chords.new_key,
)  # fmt: skip
_HYMN: tuple[Remark, ...] = (chords.outsider, chords.cadence, chords.quickening, chords.new_key, *_TUNE)
_POSITIONS: tuple[Remark, ...] = (
    chords.one_moves, chords.kept, chords.stretch, chords.travels, chords.outsider, chords.quickening,
)  # fmt: skip
_LEANING: tuple[Remark, ...] = (leaning.leaning, *_TUNE)
_COMPLETE: tuple[Remark, ...] = (
    additions.ornaments, additions.passing, additions.small_notes, leaning.leaning, *_TUNE,
)  # fmt: skip
_WRITTEN: tuple[Remark, ...] = (
    counterpoint.answer, additions.broken_again, additions.ornaments, additions.small_notes,
    returns.busiest,
)  # fmt: skip
_INNER: tuple[Remark, ...] = (lines.inner_contrary, lines.inner_moves, lines.inner_parallels, lines.inner_steps)
_PAIR: tuple[Remark, ...] = (counterpoint.exchange,)  # of inner voices none is the melody, and none the bass
_ALONE: tuple[Remark, ...] = (counterpoint.opening, lines.voice_steps, lines.voice_leap)
_ANY: tuple[Remark, ...] = (returns.beginning, returns.twins, chords.cadence, returns.busiest)

_BY_TECHNIQUE: dict[str, tuple[Remark, ...]] = {
    "bass line": _BASS,
    "outer voices": _OUTER,
    "simple tune over blocked chords": _HYMN,
    "leaning notes": _LEANING,
    "complete melody over bass": _COMPLETE,
    "complete melody over blocked chords": (*_COMPLETE, *_POSITIONS),
    "harmonic rhythm": _HARMONY,
    "without the bass": _HARMONY,
    "blocked chords": _POSITIONS,
    "blocked chords at every turn": (chords.travels, *_COMPLETE),
    "simple tune": _TUNE,
    "leaning notes alone": _LEANING,
    "bass and chord as one block": _POSITIONS,
    "doublings dropped": (chords.stretch, chords.travels, *_TUNE),
    "inner line with the melody": _INNER,
    "inner line alone": (lines.inner_steps,),
    "right hand alone": _TUNE,
    "left hand alone": (chords.stretch, chords.travels, *_BASS),
    "rhythm on one pitch": (returns.busiest,),
    "subject wherever it enters": (counterpoint.wherever,),
    "subject and lowest voice": (counterpoint.lowest,),
    "highest voice over the bass": (*_OUTER, *_TUNE),
    "outer voices complete": (counterpoint.between, *_COMPLETE),
    **dict.fromkeys(ALONE, _ALONE),
    "two highest voices": (*_PAIR, lines.melody_steps),
    "two middle voices": _PAIR,
    "two lowest voices": _PAIR,
    "highest and lowest voice": (*_PAIR, lines.outer_contrary, lines.melody_steps),
    "as written": _WRITTEN,
}


def listen_for(material: Material, stage: Stage, before: Stage | None, said: Collection[Sentence]) -> Sentence | None:
    """What to listen for in ``stage``, which follows the stage ``before``, other than what was ``said``."""
    kinds, notes = {_kind_of(sentence) for sentence in said}, {_note_of(sentence) for sentence in said} - {None}
    found = shown(material, stage, before)
    second: Sentence | None = None
    for remark in (*_BY_TECHNIQUE.get(_technique(stage), _TUNE), *_ANY):
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


def _technique(stage: Stage) -> str:
    """What the stage is called where the table has that: one technique may serve under several names."""
    title = stage.title.lower()
    return title if title in _BY_TECHNIQUE else next(iter(stage.techniques), "")


def text_of(sentence: Sentence) -> str:
    """The sentence in English."""
    return SENTENCES[sentence.message].format(**dict(sentence.fields))
