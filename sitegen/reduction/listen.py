"""The sentence for the pupil on what to listen for in a stage, made from what is in this very piece.

Each stage has a list of things to look for, by its techniques; the first that the piece has, and that no stage
before it has named, is said. The last of every list can be found in any stage that has a note.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from sitegen.reduction.listen_texts import SENTENCES
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage
from sitegen.reduction.remarks import bass, counterpoint, harmony, melody, outer

Remark = Callable[[Material, Stage], list[Sentence]]

_BASS: tuple[Remark, ...] = (bass.steps, bass.pedal, bass.homecoming, bass.returns)
_OUTER: tuple[Remark, ...] = (outer.parallels, outer.contrary, melody.highest, melody.steps)
_PLAIN: tuple[Remark, ...] = (melody.steps, melody.highest, melody.leap)
_LEANING: tuple[Remark, ...] = (melody.leaning, melody.highest)
_COMPLETE: tuple[Remark, ...] = (melody.decorated, melody.leaning, melody.steps)
_CHORDS: tuple[Remark, ...] = (harmony.quickening, harmony.new_key, harmony.tension, harmony.resting, harmony.returns)
_WRITTEN: tuple[Remark, ...] = (
    counterpoint.answer,
    harmony.tension,
    harmony.new_key,
    harmony.cadence,
    melody.busiest,
    melody.decorated,
)
_PAIR: tuple[Remark, ...] = (counterpoint.exchange, outer.contrary, melody.steps)
_ALONE: tuple[Remark, ...] = (counterpoint.opening, melody.entry, melody.steps, melody.leap)
_ANY: tuple[Remark, ...] = (melody.highest, melody.lowest, melody.leap, melody.busiest, melody.entry)

_BY_TECHNIQUE: dict[str, tuple[Remark, ...]] = {
    "bass line": _BASS,
    "outer voices": _OUTER,
    "melody by the beat": _PLAIN,
    "melody by its goals": _PLAIN,
    "melody without ornaments": _PLAIN,
    "leaning notes": _LEANING,
    "complete melody over bass": _COMPLETE,
    "complete melody over chords": _COMPLETE,
    "harmonic rhythm": _CHORDS,
    "blocked chords": _CHORDS,
    "melody over chords": _CHORDS,
    "complete melody over blocked chords": _CHORDS,
    "subject wherever it enters": (counterpoint.wherever,),
    "subject and lowest voice": (counterpoint.lowest,),
    "outer voices complete": (counterpoint.between, *_COMPLETE),
    "two highest voices": _PAIR,
    "two middle voices": _PAIR,
    "two lowest voices": _PAIR,
    "highest and lowest voice": _PAIR,
    "as written": _WRITTEN,
    "without the bass": _CHORDS,
    "rhythm on one pitch": (melody.busiest, harmony.quickening),
}


def listen_for(material: Material, stage: Stage, said: Collection[Sentence]) -> Sentence:
    """What to listen for in ``stage``, other than what was ``said`` where that can be. The stage has notes."""
    found: list[Sentence] = []
    for remark in (*_BY_TECHNIQUE.get(stage.techniques[0] if stage.techniques else "", _ALONE), *_ANY):
        for sentence in remark(material, stage):
            if sentence not in said:
                return sentence
            found.append(sentence)
    return found[0]


def text_of(sentence: Sentence) -> str:
    """The sentence in English."""
    return SENTENCES[sentence.message].format(**dict(sentence.fields))
