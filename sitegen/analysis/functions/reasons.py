"""Reasons in English: the sentences of ``table`` with their places filled."""

from __future__ import annotations

from sitegen.analysis.chords import chord_words
from sitegen.analysis.nouns import NoteReading, Reason

NO_HARMONY = "No harmony is found here, so the note has no function in one."
GRACE = "{note} is a grace note."
GRACE_BEFORE = "{note} is a grace note before {after}."
CHORD_TONE = "{note} is {part} of {chord}."


def because(sentence: str, **fields: str) -> Reason:
    """``sentence`` with those of ``fields`` that it or another field has a place for, in the order of their names."""
    wanted = sentence + " ".join(fields.values())
    return Reason(sentence, tuple(sorted((name, text) for name, text in fields.items() if f"{{{name}}}" in wanted)))


def text_of(reason: Reason) -> str:
    """The sentence in English."""
    fields = {name: chord_words(text) if name.endswith("chord") else text for name, text in reason.fields}
    return reason.sentence.format(**{name: text.format(**fields) for name, text in fields.items()})


def explained(reading: NoteReading, *reasons: Reason) -> NoteReading:
    """``reading`` with these reasons, and their text."""
    why = " ".join(map(text_of, reasons))
    return NoteReading(
        reading.function, reading.resolves_to, reading.line, reading.depth, why, reading.held_as, reasons
    )
