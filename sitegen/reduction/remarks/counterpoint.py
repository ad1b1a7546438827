"""Remarks on the subject: which voice has it, in which bars, and how it is answered. Each is true of the entries that
the stage holds; there is none where the piece has no subject."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.analysis import Entry
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks.shown import Shown
from sitegen.reduction.remarks.wording import bar_of, say

LISTED = 12  # as many bars as can be taken in

# the voices that a stage is about, counted from the highest, or from the lowest if negative
ALONE = {
    "highest voice alone": 0,
    "second voice alone": 1,
    "third voice alone": 2,
    "fourth voice alone": 3,
    "lowest voice alone": -1,
}
_PAIRS = {
    "two highest voices": (0, 1),
    "two middle voices": (1, 2),
    "two lowest voices": (-2, -1),
    "highest and lowest voice": (0, -1),
}


def opening(shown: Shown) -> list[Sentence]:
    """How a voice enters that has the stage to itself: with the subject or the answer; then all its entries."""
    material, stage = shown.material, shown.stage
    voice = ALONE.get(next(iter(stage.techniques), ""))
    entries = [] if voice is None else _of_voice(material, voice)
    if not entries:
        return []
    first = min(note.onset for note in stage.notes)
    said = []
    if entries[0].onset == first and entries[0].steps in (0, 4):
        said.append(
            say(
                "enters with the answer" if entries[0].is_answer else "enters with the subject",
                bar=bar_of(material, first),
            )
        )
    return [*said, *_listed(material, entries, "has the subject", "has the subject once")]


def wherever(shown: Shown) -> list[Sentence]:
    """How often the subject enters, and where."""
    material = shown.material
    entries = _entries(material)
    if 1 < len(entries) <= LISTED:
        return [say("subject enters", count=str(len(entries)), bars=_bars(material, entries))]
    if entries:
        bar, to_bar = (bar_of(material, entry.onset) for entry in (entries[0], entries[-1]))
        return [say("subject enters often", count=str(len(entries)), bar=bar, to_bar=to_bar)]
    return []


def lowest(shown: Shown) -> list[Sentence]:
    """Where the lowest voice has the subject."""
    material = shown.material
    return _listed(material, _of_voice(material, -1), "subject below", "subject below once")


def between(shown: Shown) -> list[Sentence]:
    """Where the subject enters between the outer voices."""
    material = shown.material
    counterpoint = material.analysis.counterpoint
    if counterpoint is None:
        return []
    inner = range(1, len(counterpoint.voices) - 1)
    found = [entry for entry in _entries(material) if entry.voice in inner]
    return _listed(material, found, "subject between", "subject between once")


def exchange(shown: Shown) -> list[Sentence]:
    """Which hand of a pair has the subject first, and where the other has it next."""
    material, stage = shown.material, shown.stage
    pair = _PAIRS.get(next(iter(stage.techniques), ""))
    if pair is None:
        return []
    above, below = (_of_voice(material, voice) for voice in pair)
    if not above or not below:
        return []
    right, left = bar_of(material, above[0].onset), bar_of(material, below[0].onset)
    if above[0].onset < below[0].onset:
        return [say("right hand begins", bar=right, to_bar=left)]
    return [say("left hand begins", bar=left, to_bar=right)]


def answer(shown: Shown) -> list[Sentence]:
    """Whether the first answer is real or tonal."""
    material = shown.material
    first = next((entry for entry in _entries(material) if entry.is_answer), None)
    if first is None:
        return []
    return [say(f"{first.form} answer", bar=bar_of(material, first.onset))]


def _entries(material: Material) -> list[Entry]:
    counterpoint = material.analysis.counterpoint
    return [] if counterpoint is None else sorted(counterpoint.entries, key=lambda e: (e.onset, e.voice))


def _of_voice(material: Material, voice: int) -> list[Entry]:
    counterpoint = material.analysis.counterpoint
    if counterpoint is None:
        return []
    number = voice % len(counterpoint.voices)
    return [entry for entry in _entries(material) if entry.voice == number]


def _listed(material: Material, entries: Sequence[Entry], several: str, one: str) -> list[Sentence]:
    """The bars in which ``entries`` begin, in the sentence for several or for one; none where they are too many."""
    bars = _bars(material, entries)
    if not entries or len(entries) > LISTED:
        return []
    return [say(several, bars=bars)] if "," in bars else [say(one, bar=bars)]


def _bars(material: Material, entries: Sequence[Entry]) -> str:
    return ", ".join(dict.fromkeys(bar_of(material, entry.onset) for entry in entries))
