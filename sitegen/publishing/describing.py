"""A stage in words, for whoever cannot see the engraving: its key, its metre, and bar by bar its harmony."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from sitegen.publishing.heard import HarmonyInfo
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PiecePage, StagePage
from sitegen.publishing.spelling import key_in_words, pitch_in_words, symbol_in_words


@dataclass(frozen=True, slots=True)
class Description:
    """``summary`` is one sentence; ``bars`` one line for each bar."""

    summary: str
    bars: tuple[str, ...]


def describe_stage(piece: PiecePage, stage: StagePage, words: Catalogue) -> Description:
    """The stage in the words of the catalogue: what it is, and for each bar its harmonies and its lowest and highest
    notes as they begin."""
    summary = words(
        "described.summary",
        title=stage.title,
        key=key_in_words(piece.key, words) or words("described.no-key"),
        metre=piece.bars[0].metre or words("described.no-metre") if piece.bars else "",
        bars=words("facts.bars", count=len(piece.bars)),
        notes=words("facts.notes", count=stage.note_count),
    )
    return Description(summary, tuple(_bars(piece, stage, words)))


def _bars(piece: PiecePage, stage: StagePage, words: Catalogue) -> list[str]:
    symbols: dict[int, list[str]] = defaultdict(list)
    for harmony in piece.harmonies:
        if harmony.symbol or harmony.numeral:
            symbols[harmony.bar].append(_spoken(harmony, words))
    struck = defaultdict(list)
    for note in stage.notes:
        struck[note.bar].append(note)
    pitches = {pitch: pitch_in_words(pitch, words) for pitch in {note.pitch for note in stage.notes}}
    lines = []
    held: list[str] = []
    for index, bar in enumerate(piece.bars):
        held = symbols.get(index) or held[-1:]
        harmony_text = ", ".join(held) if held else words("described.no-harmony")
        notes = struck.get(index)
        place = "upbeat" if bar.number == "0" else "bar"
        if not notes:
            lines.append(words(f"described.{place}-held", bar=bar.number, harmony=harmony_text))
            continue
        first = min(note.onset for note in notes)
        chord = sorted((note for note in notes if note.onset == first), key=lambda note: note.midi)
        lines.append(
            words(
                f"described.{place}",
                bar=bar.number,
                harmony=harmony_text,
                first=words.word("join", " ").join(pitches[note.pitch] for note in chord),
                notes=words("facts.notes", count=len(notes)),
            )
        )
    return lines


def _spoken(harmony: HarmonyInfo, words: Catalogue) -> str:
    return symbol_in_words(harmony.symbol, words) or harmony.numeral.replace("#", "♯").replace("b", "♭")
