"""What phrases make together where it is plain: periods, sentences, returns of the theme.

Definitions after Caplin, Classical Form (1998), ch. 3 and 4. A period is two phrases of one length that set out alike,
the second of which closes more firmly. A sentence is eight bars (or sixteen) whose first quarter, the basic idea, comes
again at once, perhaps on another degree, and whose second half leads to the cadence. The theme returns where a later
phrase sets out with the first two bars of the piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis.form.cadences import FIRMNESS
from sitegen.analysis.nouns import Form, Phrase
from sitegen.score import Note, Score

IDEA = 2  # bars of a basic idea
SENTENCES = (8, 16)  # bars
LEAST_NOTES = 4  # of an idea by which it is known again


@dataclass(frozen=True, slots=True)
class _Idea:
    """The line of some bars: when its notes are struck, from their first bar line, its steps, and its first pitch."""

    rhythm: tuple[int, ...]
    steps: tuple[int, ...]
    first: int

    def is_known_in(self, other: _Idea) -> bool:
        """Whether another has its rhythm and its steps, on whatever degree."""
        return len(self.rhythm) >= LEAST_NOTES and (self.rhythm, self.steps) == (other.rhythm, other.steps)


def find_forms(score: Score, phrases: Sequence[Phrase], line: Sequence[Note]) -> tuple[Form, ...]:
    """The forms in order of time; a stretch is a period before it is a sentence. ``line`` has the melody's notes in
    order of onset."""
    starts = [_first_bar(score, phrase.onset) for phrase in phrases]
    ends = [*starts[1:], len(score.bars)]
    ideas = [_idea(score, line, start, start + IDEA) for start in starts]
    found: list[Form] = []
    place = 0
    while place < len(phrases):
        two = place + 1 < len(phrases)
        if two and _is_period(phrases[place : place + 2], starts, ends, ideas, place):
            found.append(Form("period", phrases[place].onset, phrases[place + 1].end))
            place += 2
            continue
        for count in (1, 2):
            if place + count > len(phrases) or (count == 2 and phrases[place].cadence):
                continue
            last = phrases[place + count - 1]
            if last.cadence and _is_sentence(score, line, starts[place], ends[place + count - 1]):
                found.append(Form("sentence", phrases[place].onset, last.end))
                place += count - 1
                break
        place += 1
    found += [
        Form("return", phrase.onset, phrase.end)
        for phrase, idea in zip(phrases[2:], ideas[2:], strict=True)
        if ideas[0].is_known_in(idea) and ideas[0].first == idea.first
    ]
    return tuple(sorted(found, key=lambda form: (form.onset, -form.end)))


def _is_period(
    pair: Sequence[Phrase], starts: Sequence[int], ends: Sequence[int], ideas: Sequence[_Idea], place: int
) -> bool:
    one, other = pair
    alike = ideas[place].is_known_in(ideas[place + 1]) and ideas[place].first == ideas[place + 1].first
    lengths = [ends[k] - starts[k] for k in (place, place + 1)]
    firmer = bool(one.cadence) and FIRMNESS.get(other.cadence, 0) > FIRMNESS[one.cadence]
    return alike and firmer and lengths[0] == lengths[1] and lengths[0] > IDEA


def _is_sentence(score: Score, line: Sequence[Note], start: int, end: int) -> bool:
    bars = end - start
    if bars not in SENTENCES:
        return False
    quarter = bars // 4
    first, second, third = (_idea(score, line, start + k * quarter, start + (k + 1) * quarter) for k in range(3))
    return first.is_known_in(second) and not first.is_known_in(third)


def full_bars(score: Score, onset: int, end: int) -> tuple[int, int]:
    """The first and the last bar (indexes) of a phrase or several: an upbeat counts for the bar after it."""
    first = min(_first_bar(score, onset), len(score.bars) - 1)
    return first, max(first, _first_bar(score, end) - 1 if end < score.end else len(score.bars) - 1)


def _first_bar(score: Score, tick: int) -> int:
    """The first full bar of a phrase: an upbeat counts for the next."""
    bar = score.bar_at(tick)
    return bar.index + (2 * (bar.lead + tick - bar.onset) >= score.ticks(bar.metre.quarters))


def _idea(score: Score, line: Sequence[Note], start: int, end: int) -> _Idea:
    inside = [note for note in line if start <= note.bar < end]
    if not inside:
        return _Idea((), (), 0)
    rhythm = tuple(note.onset - score.bars[start].onset for note in inside)
    first = inside[0].pitch
    return _Idea(rhythm, tuple(note.pitch.diatonic - first.diatonic for note in inside), first.midi)
