"""Which of the teacher's wishes change nothing: what was said already, or is said otherwise by another of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis import Analysis, analyse, hold
from sitegen.errors import ContentError, SitegenError
from sitegen.reduction.adjustments import readings_of
from sitegen.reduction.nouns import Stage
from sitegen.reduction.reducing import build_ladder
from sitegen.reduction.wishes import NoteWish, Reading, StageChange, Wishes
from sitegen.score import Score


def without_effect(score: Score, wishes: Wishes) -> list[ContentError]:
    """A word on every adjustment without which analysis and ladder would be the same, in the order of the file.

    Of two that say the same, and of any that only together change nothing, each is told. Raises as ``readings_of`` and
    ``build_ladder`` for wishes that do not apply.
    """
    found = _idle_readings(score, wishes)
    if wishes.notes or wishes.changes:
        analysis = analyse(score, readings_of(score, wishes))
        stages = _seen(build_ladder(score, analysis, wishes))
        done: list[NoteWish | StageChange] = [*wishes.notes, *wishes.changes]
        for wish in done:
            try:
                without = _seen(build_ladder(score, analysis, _less(wishes, wish)))
            except SitegenError:
                continue  # another wish calls a stage by the title that this one gives it
            if without == stages:
                found.append(_told(wishes, wish))
    return sorted(found, key=lambda error: error.line or 0)


def _idle_readings(score: Score, wishes: Wishes) -> list[ContentError]:
    """Asked in full only of readings that the music says too, or that do not hold in the end: the others are seen."""
    if not wishes.readings:
        return []
    plain, all_said = analyse(score), analyse(score, readings_of(score, wishes))
    found = []
    for reading in wishes.readings:
        said = readings_of(score, replace(wishes, readings=(reading,)))
        holds = hold(all_said, said)
        if holds and not hold(plain, said):
            continue
        others = analyse(score, readings_of(score, _less(wishes, reading)))
        if _musically(others) == _musically(all_said):
            found.append(_told(wishes, reading, overruled=not holds))
    return found


def _musically(analysis: Analysis) -> Analysis:
    """An analysis without its reasons, which tell whose reading it is."""
    return replace(
        analysis,
        harmonies=tuple(replace(harmony, reasons=(), degree="") for harmony in analysis.harmonies),
        notes={id_: replace(reading, reasons=()) for id_, reading in analysis.notes.items()},
    )


def _seen(stages: Sequence[Stage]) -> list[Stage]:
    """The stages without the other names by which they are found."""
    return [replace(stage, also=()) for stage in stages]


def _less(wishes: Wishes, one: Reading | NoteWish | StageChange) -> Wishes:
    """The wishes without this very one."""
    return replace(
        wishes,
        readings=tuple(other for other in wishes.readings if other is not one),
        notes=tuple(other for other in wishes.notes if other is not one),
        changes=tuple(other for other in wishes.changes if other is not one),
    )


def _told(wishes: Wishes, one: Reading | NoteWish | StageChange, overruled: bool = False) -> ContentError:
    if isinstance(one, Reading):
        said = f"{one.what}: {one.value}"
        what = f"'{one.at}' is read so without being told: {said} changes nothing"
        if overruled:
            what = f"another adjustment says otherwise of '{one.at}': {said} changes nothing"
    elif isinstance(one, NoteWish):
        stages = f"the stage '{one.stage}'" if one.stage else "the stages"
        what = f"to {one.do} '{one.at}' changes nothing in {stages}"
    else:
        what = f"this changes nothing in the stage '{one.stage}'"
    return ContentError(what, "it can be left out", wishes.file, one.line)
