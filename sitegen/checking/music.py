"""What is worth knowing of the score and its ladder: odd bars, tempo, hands, and stages that do not rise."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from sitegen.checking.cases import Case
from sitegen.checking.nouns import Finding
from sitegen.errors import ScoreError
from sitegen.library.tempo_marks import value_of
from sitegen.places.printing import bar_names
from sitegen.reduction import Stage, not_rising
from sitegen.score import Bar
from sitegen.score.intervals import interval_name, with_article
from sitegen.score.oddities import listed

_TOLD = re.compile(r"(?:bars? (.+?): )?(.+?)\. (.+)")
_OF_BARS = re.compile(r"-bars?-\w+(-\w+)?$|-upbeat(-\w+)?$")
SHOWN = 4  # bars named in one line; of more only the number is told


def odd_bars(case: Case) -> Iterator[Finding]:
    """Bars that do not fill their metre, voices that overrun, and whatever else had to be mended in reading."""
    for warning in case.score.warnings:
        error = oddity(warning)
        yield case.draft.warning(error.what, error.remedy, file=case.draft.piece.score, bar=error.bar)


def oddity(warning: str) -> ScoreError:
    """A line of ``Score.warnings`` with its bar, what is odd and what to do apart."""
    found = _TOLD.fullmatch(warning)
    return ScoreError(found[2], found[3], bar=found[1]) if found else ScoreError(warning)


def bars_off_their_metre(case: Case) -> Iterator[Finding]:
    """Bars that are too short or too long for their metre without a reason that a musician knows.

    Known reasons: an upbeat, the last bar (which gives the upbeat back), a bar that a repeat sign or an ending divides
    (with the half beside it), and a bar whose odd length was told already in reading.
    """
    bars = case.score.bars
    names = bar_names(case.score)
    found: dict[str, list[Bar]] = {}
    for place, bar in enumerate(bars):
        full = case.score.ticks(bar.metre.quarters)
        if bar.length == full or bar.odd or place in (0, len(bars) - 1):
            continue
        is_half = names[place] in (names[place - 1], names[place + 1])
        if bar.length < full and (bar.lead or is_half or _is_divided(bar, bars[place - 1], bars[place + 1])):
            continue
        found.setdefault("short" if bar.length < full else "long", []).append(bar)
    for how, wrong in found.items():
        numbers = [bar.number for bar in wrong]
        length, metre = case.score.quarters(wrong[0].length), wrong[0].metre
        what = f"too {how} for {metre.name}: {_count(length)} in place of {_count(metre.quarters)}"
        remedy = "It is read as it stands. If it is a slip, mend it in the program that wrote the score."
        yield case.draft.warning(what, remedy, file=case.draft.piece.score, bar=listed(numbers, SHOWN))


def _is_divided(bar: Bar, before: Bar, after: Bar) -> bool:
    """Whether a repeat sign or an ending stands at an edge of the bar."""
    return bar.repeat_start or bar.repeat_end or before.repeat_end or after.repeat_start or bool(bar.endings)


def _count(quarters: Fraction) -> str:
    return "1 quarter" if quarters == 1 else f"{quarters} quarters"


def tempo_without_its_note(case: Case) -> Iterator[Finding]:
    """A bare figure where the beat is no quarter: it may have been meant for the beat."""
    mark = case.draft.piece.matter.tempo
    if mark is None or mark.value or not case.score.bars:
        return
    metre = case.score.bars[0].metre
    beat = value_of(metre.beat_quarters)
    if beat and beat != "quarter":
        what = f"'tempo: {mark.figure:g}' counts quarter notes, and the beat in {metre.name} is the {beat}"
        as_beat = f"{mark.figure / float(metre.beat_quarters):g}"
        remedy = f"Write 'tempo: {beat} = {as_beat}' for the same speed, or 'tempo: {beat} = {mark.figure:g}'."
        yield case.draft.warning(what, remedy, line=case.draft.piece.lines.get("tempo"))


def stretches_beyond_the_hand(case: Case) -> Iterator[Finding]:
    """Places where stages ask a hand for more than its span, once for each hand."""
    for hand in ("right", "left"):
        wide = [
            (stage, place)
            for stage in case.stages
            if not stage.as_written
            for report in stage.hands
            if report.hand == hand
            for place in report.places
            if place.remedy == "as written"
        ]
        if not wide:
            continue
        titles = list(dict.fromkeys(case.title_of(stage) for stage, _ in wide))
        onsets = sorted({place.onset for _, place in wide})
        bars = list(dict.fromkeys(case.score.bar_at(onset).number for onset in onsets))
        widest = with_article(interval_name(max(place.semitones for _, place in wide)))
        where = f"in the stage '{titles[0]}'" + (f" and {len(titles) - 1} more" if len(titles) > 1 else "")
        what = f"{where} the {hand} hand spans up to {widest}, more than {with_article(interval_name(case.span))}"
        remedy = "Roll it, move a note (do: move), or give 'hand:' a wider span. A stretch must never hurt."
        yield case.draft.warning(what, remedy, bar=listed(bars, SHOWN))


def stages_that_do_not_rise(case: Case) -> Iterator[Finding]:
    """A main stage that is not harder than the one before it; excerpts are compared with nothing."""
    whole = [stage for stage in case.stages if not _is_excerpt(case, stage)]
    for before, stage in not_rising(whole):
        what = (
            f"the stage '{case.title_of(stage)}' (difficulty {stage.difficulty.value:.1f}) is not harder than "
            f"'{case.title_of(before)}' ({before.difficulty.value:.1f}) before it"
        )
        remedy = "Put them in the other order under 'stages:', make one a side study, or leave one out."
        yield case.draft.warning(what, remedy, line=case.draft.piece.lines.get("stages"))


def _is_excerpt(case: Case, stage: Stage) -> bool:
    """Whether a stage is of some bars only: its lasting name says so, or the little that it has of the piece."""
    bars = {case.score.bar_at(note.onset).index for note in stage.notes}
    return _OF_BARS.search(stage.slug) is not None or 2 * len(bars) < len(case.score.bars)
