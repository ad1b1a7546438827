"""Why a note or a chord is what it is: data that is told in any language, and in English here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from sitegen.analysis.reason_texts import SENTENCES


@dataclass(frozen=True, slots=True)
class Reason:
    """The id of a sentence of ``SENTENCES``, and what stands in its places, as the table says of each."""

    id: str
    fields: tuple[tuple[str, str], ...] = ()


TEACHERS_READING = (Reason("teacher's reading"),)
"""Why a chord or a note is what it is, where she has said so."""
WITHOUT_HARMONY = (Reason("no harmony"),)
"""Why a note is nothing that a harmony would make of it."""


def because(id_: str, **fields: str) -> Reason:
    """The reason ``id_`` with those of ``fields`` that its sentence or another field has a place for, in the order of
    their names."""
    wanted = SENTENCES[id_] + " ".join(fields.values())
    return Reason(id_, tuple(sorted((name, text) for name, text in fields.items() if f"{{{name}}}" in wanted)))


def in_english(reasons: Sequence[Reason]) -> str:
    """The sentences in English."""
    return " ".join(map(_sentence, reasons))


@lru_cache(maxsize=4096)
def chord_words(symbol: str | None) -> str:
    """A chord in a sentence: ``the C major chord``, ``the G7 chord``; ``the chord`` where it has no symbol."""
    if not symbol:
        return "the chord"
    chord = symbol.split("/")[0]
    root = chord[: len(chord[1:]) - len(chord[1:].lstrip("#b")) + 1]
    words = {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}.get(chord[len(root) :])
    return f"the {root} {words} chord" if words else f"the {chord} chord"


def _sentence(reason: Reason) -> str:
    fields = {name: _told(name, text) for name, text in reason.fields}
    return SENTENCES[reason.id].format(**{name: text.format(**fields) for name, text in fields.items()})


def _told(name: str, text: str) -> str:
    if name.endswith("chord"):
        return chord_words(text)
    return " and ".join(text.rsplit(", ", 1)) if name == "tones" else text
