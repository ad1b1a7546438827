"""The data that scripts of a page read: ``piece.json``, ``notes.json``, and ``timing.json`` of each stage.

Rows are arrays where there are thousands of them, in the order that the docstring of each function names.
"""

from __future__ import annotations

import json
from typing import Any

from sitegen.publishing.describing import describe_stage
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PiecePage, SheetDrawing, StagePage
from sitegen.publishing.spelling import (
    beat_in_words,
    key_in_words,
    pitch_in_words,
    span_in_words,
    symbol_in_words,
    value_in_words,
)


def as_json(value: object) -> bytes:
    """Compact JSON in UTF-8, the same bytes for the same value."""
    return (json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n").encode()


def piece_data(piece: PiecePage, words: Catalogue) -> dict[str, Any]:
    """Bars, harmonies, tension, what notes the beats are, and stages; files are named from the folder of the piece."""
    return {
        "slug": piece.slug,
        "title": piece.title,
        "bars": [
            {
                "number": bar.number,
                **({"own": bar.own} if bar.own not in ("", bar.number) else {}),
                "length": str(bar.length),
                "beat": str(bar.beat),
                "lead": str(bar.lead),
            }
            for bar in piece.bars
        ],
        "staves": list(piece.staves),
        "harmonies": [
            {
                "bar": harmony.bar,
                "onset": str(harmony.onset),
                "numeral": harmony.numeral,
                "symbol": symbol_in_words(harmony.symbol, words),
                "key": key_in_words(harmony.key, words),
            }
            for harmony in piece.harmonies
        ],
        "tension": [
            {
                "bar": tension.bar,
                "onset": str(tension.onset),
                "value": round(tension.value, 3),
                "parts": [[words.word("tension", name), round(value, 3)] for name, value in tension.parts],
            }
            for tension in piece.tension
        ],
        "beats": {str(beat): value_in_words(beat, words) for beat in sorted({bar.beat for bar in piece.bars})},
        "stages": [_stage(piece, stage, words) for stage in piece.stages],
    }


def score_notes(piece: PiecePage, words: Catalogue) -> dict[str, list[object]]:
    """For each note of the score, by its id: bar, onset, pitch in words, beat in words, function in words, why."""
    pitches = {pitch: pitch_in_words(pitch, words) for pitch in {note.pitch for note in piece.notes}}
    return {
        note.id: [
            note.bar,
            str(note.onset),
            pitches[note.pitch],
            beat_in_words(piece.bars[note.bar], note.onset),
            words.word("function", note.function),
            note.why,
        ]
        for note in piece.notes
    }


def stage_data(piece: PiecePage, stage: StagePage, words: Catalogue) -> dict[str, Any]:
    """What is played of a stage, and ``cards``, which tell of its notes: a row for each with id, bar, onset, duration,
    pitch, place in ``beats``, hand (0 right, 1 left), and where they are others than the note itself its sources and
    its noteheads. ``pitches`` says of each pitch what it is in words and its MIDI number, ``values`` and ``beats``
    durations and beats in words."""
    beats: dict[str, int] = {}
    cards = []
    for note in stage.notes:
        beat = beats.setdefault(beat_in_words(piece.bars[note.bar], note.onset), len(beats))
        sources = [] if note.sources == (note.id,) else list(note.sources)
        rest = [sources, list(note.noteheads)] if note.noteheads else [sources] if sources else []
        hand = int(note.hand == "left")
        cards.append([note.id, note.bar, str(note.onset), str(note.duration), note.pitch, beat, hand, *rest])
    pitches = {note.pitch: note.midi for note in stage.notes}
    values = sorted({note.duration for note in stage.notes})
    return {
        **stage.played,
        "cards": cards,
        "pitches": {pitch: [pitch_in_words(pitch, words), pitches[pitch]] for pitch in sorted(pitches)},
        "values": {str(value): value_in_words(value, words) for value in values},
        "beats": list(beats),
    }


def _stage(piece: PiecePage, stage: StagePage, words: Catalogue) -> dict[str, Any]:
    described = describe_stage(piece, stage, words)
    return {
        "slug": stage.slug,
        "title": stage.title,
        "listen": stage.listen,
        "techniques": list(stage.techniques),
        "note_count": stage.note_count,
        "side_study": stage.side_study,
        "as_written": stage.as_written,
        "described": [described.summary, *described.bars],
        "hands": hands_in_words(stage, words),
        "url": f"stages/{stage.slug}/index.html",
        "print": f"print.html#{stage.slug}",
        "midi": stage.midi,
        "musicxml": stage.musicxml,
        "timing": stage.timing,
        "layouts": {layout: [_sheet(sheet) for sheet in sheets] for layout, sheets in stage.sheets.items()},
    }


def _sheet(sheet: SheetDrawing) -> list[object]:
    """File, width, and a row for each system: first bar, last bar, where it begins, height."""
    rows = [[row.first_bar, row.last_bar, round(row.y, 1), round(row.height, 1)] for row in sheet.systems]
    return [sheet.file, round(sheet.width, 1), rows]


def hands_in_words(stage: StagePage, words: Catalogue) -> list[str]:
    """What the stage asks of the hands: how wide they stretch, and how much there is to do."""
    return [*stretches_in_words(stage, words), *_difficulty_in_words(stage, words)]


def stretches_in_words(stage: StagePage, words: Catalogue) -> list[str]:
    """The widest stretch of each hand, and what was done at places wider than the hand that the stage is made for."""
    sentences = []
    for hand in stage.hands:
        if hand.widest:
            interval = span_in_words(hand.widest, words)
            sentences.append(words("stretch.widest", hand=words(f"hand.{hand.hand}"), interval=interval))
        sentences += hand.places
    return sentences


def _difficulty_in_words(stage: StagePage, words: Catalogue) -> list[str]:
    """How much the stage asks of the hands, beside what is easy and what is hard, and what most of it is. Nothing of a
    stage that asks for nothing."""
    if not stage.difficulty or not stage.difficulty_parts:
        return []
    most, _ = max(stage.difficulty_parts, key=lambda part: part[1])
    much = max(1, round(stage.difficulty))
    return [words("difficulty.asks", much=much, most=words.word("difficulty", most))]
