"""``reading.html``: for the teacher, how a piece was read: its form, what was done for each stage and what that asks of
the hands, and each chord with the reasons for it."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.publishing.datafiles import stretches_in_words
from sitegen.publishing.heard import HarmonyInfo
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PiecePage, StagePage
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece
from sitegen.publishing.rights import rights_in_words
from sitegen.publishing.spelling import beat_in_words, decimal_in_words, key_in_words, numeral_in_words, symbol_in_words

_SMALL = 0.05  # of a part of difficulty: shown with one decimal it would be nothing


@dataclass(frozen=True, slots=True)
class _Chord:
    """A chord as it is named, the beat it begins on (empty for the first of its bar), and why it is that."""

    name: str
    beat: str
    why: str


def _write(source: OfPiece, path: str) -> bytes:
    piece, words = source.piece, source.press.words
    chords: dict[int, list[_Chord]] = {}
    for harmony in piece.harmonies:
        chords.setdefault(harmony.bar, []).append(_chord(piece, harmony, words))
    told = {stage.slug: _told(stage, words) for stage in piece.stages}
    rights = rights_in_words(piece, words)
    return source.press.page("reading.html.j2", path, piece=piece, told=told, chords=chords, rights=rights)


def _chord(piece: PiecePage, harmony: HarmonyInfo, words: Catalogue) -> _Chord:
    name = words("js.no-harmony")
    if harmony.symbol or harmony.numeral:
        symbol, numeral = symbol_in_words(harmony.symbol, words), numeral_in_words(harmony.numeral)
        name = words("js.harmony-of", symbol=symbol, numeral=numeral, key=key_in_words(harmony.key, words))
    beat = beat_in_words(piece.bars[harmony.bar], harmony.onset)
    return _Chord(name, "" if beat == "1" else beat, harmony.why)


def _told(stage: StagePage, words: Catalogue) -> list[str]:
    """What was done for a stage and what it asks of the hands; the parts of its difficulty, the greatest first."""
    lines = [*stage.for_the_teacher, *stretches_in_words(stage, words)]
    parts = sorted((part for part in stage.difficulty_parts if part[1] >= _SMALL), key=lambda part: -part[1])
    if parts:
        said = [
            words("difficulty.part", part=words.word("difficulty", name), value=decimal_in_words(value, words))
            for name, value in parts
        ]
        value = decimal_in_words(stage.difficulty, words)
        lines.append(words("difficulty.parts", value=value, parts="; ".join(said)))
    return lines


READING_PAGE: PublishedFile[OfPiece] = PublishedFile(OfPiece, below_piece("reading.html"), _write)
